#include "io/checksum.hpp"

#include <algorithm>
#include <bit>
#include <cstring>

namespace wainscot {
namespace {

// FIPS 180-4, 4.2.2: the first 32 bits of the fractional parts of the cube roots of the first 64 primes.
constexpr std::array<std::uint32_t, 64> kConstants = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

constexpr std::size_t kBlockSize = 64;

std::uint32_t big_endian_word(const unsigned char* p) {
  return std::uint32_t{p[0]} << 24 | std::uint32_t{p[1]} << 16 | std::uint32_t{p[2]} << 8 | std::uint32_t{p[3]};
}

std::uint32_t small_sigma_0(std::uint32_t x) { return std::rotr(x, 7) ^ std::rotr(x, 18) ^ (x >> 3); }
std::uint32_t small_sigma_1(std::uint32_t x) { return std::rotr(x, 17) ^ std::rotr(x, 19) ^ (x >> 10); }
std::uint32_t big_sigma_0(std::uint32_t x) { return std::rotr(x, 2) ^ std::rotr(x, 13) ^ std::rotr(x, 22); }
std::uint32_t big_sigma_1(std::uint32_t x) { return std::rotr(x, 6) ^ std::rotr(x, 11) ^ std::rotr(x, 25); }

// Eight rounds: the working variables shift by one each round, so after eight they are back in their places.
template <typename Word>
void eight_rounds(std::array<std::uint32_t, 8>& v, std::size_t first_round, const Word& word) {
  for (std::size_t i = 0; i < 8; ++i) {
    const std::size_t a = (8 - i) % 8;
    const std::uint32_t e = v[(a + 4) % 8];
    const std::uint32_t choice = (e & v[(a + 5) % 8]) ^ (~e & v[(a + 6) % 8]);
    const std::uint32_t majority =
        (v[a] & v[(a + 1) % 8]) ^ (v[a] & v[(a + 2) % 8]) ^ (v[(a + 1) % 8] & v[(a + 2) % 8]);
    const std::uint32_t t1 =
        v[(a + 7) % 8] + big_sigma_1(e) + choice + kConstants[first_round + i] + word(first_round + i);
    v[(a + 3) % 8] += t1;
    v[(a + 7) % 8] = t1 + big_sigma_0(v[a]) + majority;
  }
}

}  // namespace

void Sha256::compress(const unsigned char* blocks, std::size_t count) {
  for (; count > 0; --count, blocks += kBlockSize) {
    std::array<std::uint32_t, 16> w;  // the message schedule, a ring of its last 16 words
    for (std::size_t i = 0; i < 16; ++i) w[i] = big_endian_word(blocks + 4 * i);
    const auto given = [&w](std::size_t t) { return w[t % 16]; };
    const auto expanded = [&w](std::size_t t) {
      return w[t % 16] += small_sigma_1(w[(t + 14) % 16]) + w[(t + 9) % 16] + small_sigma_0(w[(t + 1) % 16]);
    };
    std::array<std::uint32_t, 8> v = state_;
    eight_rounds(v, 0, given);
    eight_rounds(v, 8, given);
    for (std::size_t t = 16; t < 64; t += 8) eight_rounds(v, t, expanded);
    for (std::size_t i = 0; i < 8; ++i) state_[i] += v[i];
  }
}

void Sha256::update(std::string_view bytes) {
  length_ += bytes.size();
  const auto* data = reinterpret_cast<const unsigned char*>(bytes.data());
  std::size_t left = bytes.size();
  if (pending_size_ > 0) {
    const std::size_t taken = std::min(left, kBlockSize - pending_size_);
    std::memcpy(pending_.data() + pending_size_, data, taken);
    pending_size_ += taken;
    data += taken;
    left -= taken;
    if (pending_size_ < kBlockSize) return;
    compress(pending_.data(), 1);
    pending_size_ = 0;
  }
  compress(data, left / kBlockSize);
  pending_size_ = left % kBlockSize;
  if (pending_size_ > 0) std::memcpy(pending_.data(), data + left - pending_size_, pending_size_);
}

std::string Sha256::finish() {
  // FIPS 180-4, 5.1.1: a 1 bit, zeros, and the length in bits as a 64-bit big-endian number end the last block.
  const std::uint64_t bits = length_ * 8;
  std::string padding(1, '\x80');
  padding.append((kBlockSize * 2 - 9 - length_ % kBlockSize) % kBlockSize, '\0');
  for (int shift = 56; shift >= 0; shift -= 8) padding.push_back(static_cast<char>(bits >> shift & 0xff));
  update(padding);
  std::string hex;
  for (const std::uint32_t word : state_) {
    for (int shift = 28; shift >= 0; shift -= 4) hex.push_back("0123456789abcdef"[word >> shift & 0xf]);
  }
  return hex;
}

std::string sha256(std::string_view bytes) {
  Sha256 hash;
  hash.update(bytes);
  return hash.finish();
}

}  // namespace wainscot
