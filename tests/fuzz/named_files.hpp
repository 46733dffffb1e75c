#pragma once

// The bytes that a fuzzer makes up, as files of a folder.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <set>
#include <string>

#include "tests/io/reader_folder.hpp"

namespace wainscot {

/// Writes one file after the other, each begun by a byte that chooses its name and two that give its length. Returns
/// which of the names were written.
template <std::size_t Count>
std::set<std::string> write_files(const ReaderFolder& folder, const char* const (&names)[Count],
                                  const std::uint8_t* data, std::size_t size) {
  std::set<std::string> written;
  while (size >= 3) {
    const char* const name = names[data[0] % Count];
    const std::size_t length = std::min<std::size_t>(data[1] + 256u * data[2], size - 3);
    folder.write(name, std::string(reinterpret_cast<const char*>(data + 3), length));
    written.insert(name);
    data += 3 + length;
    size -= 3 + length;
  }
  return written;
}

}  // namespace wainscot
