#pragma once

// What a job of a batch reads, as digests: of what the files are called, how large they are and when they were changed,
// which is told at once, and of their bytes.

#include <filesystem>
#include <string>
#include <vector>

#include "apps/batch/batch_folder.hpp"

namespace wainscot {

/// The files that a job reads, sorted: those in its drive's folder and in other folders that its command line names
/// from the root on, and such files themselves.
std::vector<std::filesystem::path> job_inputs(const BatchCommand& command, const BatchJob& job);

/// 64 hexadecimal digits (SHA-256).
std::string digest_of_stamps(const std::vector<std::filesystem::path>& files);

/// Likewise; a file that cannot be read counts as such: whether that matters is the command's to say.
std::string digest_of_bytes(const std::vector<std::filesystem::path>& files);

}  // namespace wainscot
