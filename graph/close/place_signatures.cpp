#include "graph/close/place_signatures.hpp"

namespace wainscot {

const Signature& PlaceSignatures::of(std::size_t node) {
  if (signatures_.empty()) signatures_.resize(path_.poses.size());
  if (!signatures_[node]) signatures_[node] = place_signature(path_, node);
  return *signatures_[node];
}

}  // namespace wainscot
