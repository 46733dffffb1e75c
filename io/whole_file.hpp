#pragma once

#include <filesystem>
#include <string_view>

namespace wainscot {

/// Makes a new file and brings it to the disk (fsync). Throws std::runtime_error with the system's reason where it
/// exists already or cannot be written; then it may be there in part.
void write_new_file(const std::filesystem::path& file, std::string_view bytes);

/// Writes a file whole or not at all: under another name first, then renamed. Throws `InputError` where it cannot be
/// written, or where it is there already and `replace` is false.
void write_whole_file(const std::filesystem::path& file, std::string_view bytes, bool replace);

/// Throws the `InputError` with which `write_whole_file` would end now; a file that is there stays as it is: for asking
/// before long work.
void check_whole_file_destination(const std::filesystem::path& file, bool replace);

}  // namespace wainscot
