#pragma once

// SHA-256 (NIST FIPS 180-4, Secure Hash Standard, 2015; OpenSSL's), so that a map can say which recorded files it was
// made from.

#include <memory>
#include <string>
#include <string_view>

struct evp_md_ctx_st;

namespace wainscot {

/// The digest of bytes that arrive piece by piece.
class Sha256 {
 public:
  /// Throws std::runtime_error where OpenSSL does not offer the digest, as a system may be set up.
  Sha256();

  /// Appends bytes to the message; any number of calls, any length.
  void update(std::string_view bytes);

  /// Ends the message and returns its digest, 64 lower-case hexadecimal digits. Call once.
  std::string finish();

 private:
  struct Free {
    void operator()(evp_md_ctx_st* context) const;
  };
  std::unique_ptr<evp_md_ctx_st, Free> context_;
};

/// The digest of one piece of text, 64 lower-case hexadecimal digits.
std::string sha256(std::string_view bytes);

}  // namespace wainscot
