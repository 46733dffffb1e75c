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

/// Writes each file whole, after all of them have been asked for; makes `folder` first where it is not empty and not
/// there. Throws `InputError` where a name is given twice, where a file cannot be written, or where it is there already
/// and `replace` is false; what this call has made is then removed again.
void write_output_files(const std::vector<OutputFile>& files, const std::filesystem::path& folder, bool replace);

}  // namespace wainscot
