#include "io/checksum.hpp"

#include <algorithm>
#include <bit>
#include <cstring>

#if defined(__x86_64__)
#include <cpuid.h>
#include <immintrin.h>
#endif

namespace wainscot {
namespace {

// FIPS 180-4, 4.2.2: the first 32 bits of the fractional parts of the cube roots of the first 64 primes.
alignas(16) constexpr std::array<std::uint32_t, 64> kConstants = {
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

using State = std::array<std::uint32_t, 8>;

void compress_portable(State& state, const unsigned char* blocks, std::size_t count) {
  for (; count > 0; --count, blocks += kBlockSize) {
    std::array<std::uint32_t, 16> w;  // the message schedule, a ring of its last 16 words
    for (std::size_t i = 0; i < 16; ++i) w[i] = big_endian_word(blocks + 4 * i);
    const auto given = [&w](std::size_t t) { return w[t % 16]; };
    const auto expanded = [&w](std::size_t t) {
      return w[t % 16] += small_sigma_1(w[(t + 14) % 16]) + w[(t + 9) % 16] + small_sigma_0(w[(t + 1) % 16]);
    };
    State v = state;
    eight_rounds(v, 0, given);
    eight_rounds(v, 8, given);
    for (std::size_t t = 16; t < 64; t += 8) eight_rounds(v, t, expanded);
    for (std::size_t i = 0; i < 8; ++i) state[i] += v[i];
  }
}

#if defined(__x86_64__)

bool has_sha_instructions() {
  unsigned a = 0;
  unsigned b = 0;
  unsigned c = 0;
  unsigned d = 0;
  const bool has_sse41 = __get_cpuid(1, &a, &b, &c, &d) != 0 && (c & bit_SSE4_1) != 0 && (c & bit_SSSE3) != 0;
  return has_sse41 && __get_cpuid_count(7, 0, &a, &b, &c, &d) != 0 && (b & bit_SHA) != 0;
}

__m128i* vector_at(void* p) { return static_cast<__m128i*>(p); }
const __m128i* vector_at(const void* p) { return static_cast<const __m128i*>(p); }

// Four rounds a step with the x86 SHA extensions, which keep the state as the halves (a, b, e, f) and (c, d, g, h).
// Source: Intel 64 and IA-32 Architectures Software Developer's Manual, volume 2: SHA256RNDS2, SHA256MSG1, SHA256MSG2.
__attribute__((target("sha,sse4.1,ssse3"))) void compress_x86(State& state, const unsigned char* blocks,
                                                              std::size_t count) {
  const __m128i big_endian = _mm_set_epi64x(0x0c0d0e0f08090a0b, 0x0405060700010203);
  const __m128i badc = _mm_shuffle_epi32(_mm_loadu_si128(vector_at(state.data())), 0xb1);
  const __m128i hgfe = _mm_shuffle_epi32(_mm_loadu_si128(vector_at(state.data() + 4)), 0x1b);
  __m128i abef = _mm_alignr_epi8(badc, hgfe, 8);
  __m128i cdgh = _mm_blend_epi16(hgfe, badc, 0xf0);
  for (; count > 0; --count, blocks += kBlockSize) {
    const __m128i abef_before = abef;
    const __m128i cdgh_before = cdgh;
    __m128i w[4];  // the last 16 words of the message schedule
    for (std::size_t step = 0; step < 16; ++step) {
      __m128i& now = w[step % 4];
      if (step < 4) {
        now = _mm_shuffle_epi8(_mm_loadu_si128(vector_at(blocks + 16 * step)), big_endian);
      } else {
        const __m128i newest = w[(step + 3) % 4];
        const __m128i seven_ago = _mm_alignr_epi8(newest, w[(step + 2) % 4], 4);
        now = _mm_sha256msg2_epu32(_mm_add_epi32(_mm_sha256msg1_epu32(now, w[(step + 1) % 4]), seven_ago), newest);
      }
      const __m128i words = _mm_add_epi32(now, _mm_load_si128(vector_at(kConstants.data() + 4 * step)));
      cdgh = _mm_sha256rnds2_epu32(cdgh, abef, words);
      abef = _mm_sha256rnds2_epu32(abef, cdgh, _mm_shuffle_epi32(words, 0x0e));
    }
    abef = _mm_add_epi32(abef, abef_before);
    cdgh = _mm_add_epi32(cdgh, cdgh_before);
  }
  const __m128i feba = _mm_shuffle_epi32(abef, 0x1b);
  const __m128i dchg = _mm_shuffle_epi32(cdgh, 0xb1);
  _mm_storeu_si128(vector_at(state.data()), _mm_blend_epi16(feba, dchg, 0xf0));
  _mm_storeu_si128(vector_at(state.data() + 4), _mm_alignr_epi8(dchg, feba, 8));
}

#endif

}  // namespace

Sha256::Sha256([[maybe_unused]] Sha256Code code) : compress_(compress_portable) {
#if defined(__x86_64__)
  static const bool has_instructions = has_sha_instructions();
  if (code == Sha256Code::fastest && has_instructions) compress_ = compress_x86;
#endif
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
    compress_(state_, pending_.data(), 1);
    pending_size_ = 0;
  }
  compress_(state_, data, left / kBlockSize);
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

std::string sha256(std::string_view bytes, Sha256Code code) {
  Sha256 hash(code);
  hash.update(bytes);
  return hash.finish();
}

}  // namespace wainscot
