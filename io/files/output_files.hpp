#pragma once

// Several files that one command writes: all of them or none.

#include <filesystem>
#include <functional>
#include <set>
#include <string>
#include <vector>

namespace wainscot {

struct OutputFile {
  std::filesystem::path file;
  std::string bytes;
};

/// Throws `InputError` where two of these are one name. Empty ones are not looked at.
void require_different_names(const std::vector<std::filesystem::path>& names);

/// Throws the `InputError` with which `write_output_files` would end now, as far as these files tell; empty names are
/// not looked at. For asking before long work.
void check_output_files(const std::vector<std::filesystem::path>& files, const std::filesystem::path& folder,
                        bool replace);

/// Writes all files in working folders and then gives them their names; makes `folder` where that is not empty and not
/// there. The files of `folder` are there at once: a folder that is there is exchanged for a new one, which holds its
/// other files too. That cannot be where folders are in it, where another user's or this process's own place is, and
/// where the file system cannot exchange names; then, and for files elsewhere, the names are taken one after another,
/// and given back where one cannot be had. Throws `InputError` where a name is given twice, where a file would lie in a
/// map's folder or cannot be written, or where it is there already and `replace` is false; then nothing has been made,
/// save what the sentence says.
void write_output_files(const std::vector<OutputFile>& files, const std::filesystem::path& folder, bool replace);

/// Throws the `InputError` with which `write_output_folder` would end now, as far as the names tell. For asking before
/// long work.
void check_output_folder(const std::filesystem::path& folder, bool replace);

/// Makes a folder whole or not at all: `fill` writes files into the one that it is given, which takes the name when it
/// returns. A folder that is there is exchanged for the new one, which then holds its other files too, but for those of
/// the names `own`. Throws `InputError` where it is there already and `replace` is false, where it cannot be exchanged
/// (folders are in it, it is another user's or this process's own place) or would lie in a map's folder, and where
/// `fill` throws a std::runtime_error; then nothing has been made.
void write_output_folder(const std::filesystem::path& folder, bool replace, const std::set<std::filesystem::path>& own,
                         const std::function<void(const std::filesystem::path& made)>& fill);

}  // namespace wainscot
