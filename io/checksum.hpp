#pragma once

// SHA-256, so that a map can say which recorded files it was made from.
// Source: NIST FIPS 180-4, Secure Hash Standard, 2015, sections 4.1.2, 4.2.2, 5.3.3 and 6.2.

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace wainscot {

/// Which code computes the digest. The result is the same; the processor's own instructions, where it has them, are
/// ten times as fast, and without them the checksum would take longer than the reading.
enum class Sha256Code { fastest, portable };

/// The digest of bytes that arrive piece by piece.
class Sha256 {
 public:
  explicit Sha256(Sha256Code code = Sha256Code::fastest);

  /// Appends bytes to the message; any number of calls, any length.
  void update(std::string_view bytes);

  /// Ends the message and returns its digest, 64 lower-case hexadecimal digits. Call once.
  std::string finish();

 private:
  using State = std::array<std::uint32_t, 8>;
  using Compress = void (*)(State& state, const unsigned char* blocks, std::size_t count);

  Compress compress_;
  State state_ = {0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
  std::array<unsigned char, 64> pending_{};
  std::size_t pending_size_ = 0;
  std::uint64_t length_ = 0;  // bytes
};

/// The digest of one piece of text, 64 lower-case hexadecimal digits.
std::string sha256(std::string_view bytes, Sha256Code code = Sha256Code::fastest);

}  // namespace wainscot
