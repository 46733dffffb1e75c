#pragma once

// How what was made whole under another name takes its own: never over something that was not to be replaced, also not
// where that has come to be since one looked.

#include <filesystem>
#include <vector>

namespace wainscot {

/// A file or a folder and the name that it shall have, on the same file system.
struct NewName {
  std::filesystem::path made;
  std::filesystem::path name;
  bool replace = false;  ///< a file that has the name; a folder is exchanged, and is then where the new one was made
};

/// Gives all of them their names, each in one step of the file system (Linux renameat2; where that knows no flags, by a
/// second link, or over an empty file that takes the name first), and brings the names to the disk. Throws `InputError`
/// where one cannot be had; then the others are given back, and what was there is there again, save what the sentence
/// says has been written already, since the file system knows no second links. Needs the right to make further files
/// beside what was made, which stay.
void take_names(const std::vector<NewName>& names);

/// For sentences: what it means where two folders cannot be exchanged.
constexpr const char* kNoExchange = "this file system cannot exchange two folders in one step";

/// Exchanges two names in one step and brings them to the disk. False, with the reason in errno, where that cannot be:
/// EINVAL or ENOSYS where the file system or the kernel knows no such step.
bool exchange_names(const std::filesystem::path& one, const std::filesystem::path& other);

}  // namespace wainscot
