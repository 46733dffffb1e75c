#include "io/checksum.hpp"

#include <array>
#include <new>
#include <stdexcept>

#include <fmt/format.h>
#include <openssl/evp.h>

namespace wainscot {
namespace {

void require(int done) {
  if (done != 1) throw std::runtime_error("the system's OpenSSL refuses SHA-256; allow it in OpenSSL's configuration");
}

}  // namespace

void Sha256::Free::operator()(evp_md_ctx_st* context) const { EVP_MD_CTX_free(context); }

Sha256::Sha256() : context_(EVP_MD_CTX_new()) {
  if (!context_) throw std::bad_alloc();
  require(EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr));
}

void Sha256::update(std::string_view bytes) { require(EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size())); }

std::string Sha256::finish() {
  std::array<unsigned char, 32> digest{};
  require(EVP_DigestFinal_ex(context_.get(), digest.data(), nullptr));
  return fmt::format("{:02x}", fmt::join(digest, ""));
}

std::string sha256(std::string_view bytes) {
  Sha256 hash;
  hash.update(bytes);
  return hash.finish();
}

}  // namespace wainscot
