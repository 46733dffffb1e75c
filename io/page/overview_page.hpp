#pragma once

#include <string>

#include "io/overview/overview.hpp"

namespace wainscot {

struct OverviewPage {
  std::string program_version;
  /// The overview's folder from the one that the page will lie in, any bytes, for links to the maps' own pages; empty:
  /// no links.
  std::string folder;
};

/// A self-contained page: a table that can be sorted and searched, a row a drive, and each constant of a robot over its
/// drives. Of thousands of rows it shows a hundred at a time.
std::string overview_page(const Overview& overview, const OverviewPage& page);

}  // namespace wainscot
