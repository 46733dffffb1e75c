#pragma once

// The signatures of the places along a path, each made when it is first asked for and kept.

#include <cstddef>
#include <optional>
#include <vector>

#include "graph/close/place.hpp"

namespace wainscot {

/// What `path` refers to must outlive this and stay as it is.
class PlaceSignatures {
 public:
  explicit PlaceSignatures(const SeenPath& path) : path_(path) {}

  /// The reference holds as long as this does.
  const Signature& of(std::size_t node);

 private:
  SeenPath path_;
  std::vector<std::optional<Signature>> signatures_;  ///< by node; empty until the first is asked for
};

}  // namespace wainscot
