#include "io/checksum.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

// NIST, "Secure Hash Standard examples with intermediate values", SHA-256; the same in FIPS 180-2, appendix B.
TEST(Checksum, NistExamples) {
  EXPECT_EQ(sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256(std::string(1'000'000, 'a')), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

// NIST CAVP, SHA256ShortMsg.rsp: Len = 0.
TEST(Checksum, EmptyMessage) {
  EXPECT_EQ(sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(Checksum, PiecesOfAnyLengthGiveTheDigestOfTheWhole) {
  const std::string text = std::string(200, 'x') + std::string(61, 'y');
  for (std::size_t piece = 1; piece <= text.size(); ++piece) {
    Sha256 hash;
    for (std::size_t i = 0; i < text.size(); i += piece) hash.update(std::string_view(text).substr(i, piece));
    EXPECT_EQ(hash.finish(), sha256(text)) << piece;
  }
}

}  // namespace
}  // namespace wainscot
