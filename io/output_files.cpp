#include "io/output_files.hpp"

#include <set>
#include <system_error>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/spelling.hpp"
#include "io/whole_file.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

std::string shown(const fs::path& path) { return printable(path.string(), 300); }

void need_names_of_their_own(const std::vector<OutputFile>& files) {
  std::set<fs::path> names;
  for (const OutputFile& output : files) {
    if (!names.insert(fs::weakly_canonical(fs::absolute(output.file))).second) {
      throw InputError(shown(output.file) + ": is asked for twice; give each output its own name");
    }
  }
}

void make_folder(const fs::path& folder) {
  std::error_code error;
  if (!fs::create_directory(folder, error)) {
    throw InputError(fmt::format("{}: cannot be made ({}); make the folder before it first or choose another name",
                                 shown(folder), error ? error.message() : "something else is there"));
  }
}

}  // namespace

void write_output_files(const std::vector<OutputFile>& files, const fs::path& folder, bool replace) {
  need_names_of_their_own(files);
  const bool makes_folder = !folder.empty() && !fs::exists(folder);
  if (makes_folder) make_folder(folder);
  std::vector<fs::path> made;
  try {
    for (const OutputFile& output : files) check_whole_file_destination(output.file, replace);
    for (const OutputFile& output : files) {
      const bool is_new = !fs::exists(output.file);
      write_whole_file(output.file, output.bytes, replace);
      if (is_new) made.push_back(output.file);
    }
  } catch (...) {
    std::error_code ignored;
    for (const fs::path& file : made) fs::remove(file, ignored);
    if (makes_folder) fs::remove(folder, ignored);  // only where it is empty
    throw;
  }
}

}  // namespace wainscot
