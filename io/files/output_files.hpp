#pragma once

// Several files that one command writes: all of them or none.

#include <filesystem>
#include <string>
#include <vector>

namespace wainscot {

struct OutputFile {
  std::filesystem::path file;
  std::string bytes;
};

/// Writes all files under other names and then gives them their own; makes `folder` where that is not empty and not
/// there, whole too. Throws `InputError` where a name is given twice, where a file would lie in a map's folder or
/// cannot be written, or where it is there already and `replace` is false; then nothing has been made.
void write_output_files(const std::vector<OutputFile>& files, const std::filesystem::path& folder, bool replace);

}  // namespace wainscot
