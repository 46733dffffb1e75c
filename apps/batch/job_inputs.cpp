#include "apps/batch/job_inputs.hpp"

#include <algorithm>
#include <cstddef>
#include <system_error>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "io/checksum.hpp"
#include "io/files/descriptor.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

void add_files(const fs::path& path, std::vector<fs::path>& files) {
  std::error_code error;
  if (fs::is_regular_file(path, error)) files.push_back(path);
  if (!fs::is_directory(path, error)) return;
  for (fs::directory_iterator it(path, error), end; !error && it != end; it.increment(error)) {
    std::error_code kind_error;
    if (it->is_regular_file(kind_error)) files.push_back(it->path());
  }
}

}  // namespace

std::vector<fs::path> job_inputs(const BatchCommand& command, const BatchJob& job) {
  std::vector<fs::path> files;
  add_files(job.drive, files);
  for (const std::vector<std::string>* words : {&command.words, &job.options}) {
    for (const std::string& word : *words) {
      const std::string value = word.substr(word.starts_with("--") ? word.find('=') + 1 : 0);
      if (value.starts_with('/')) add_files(value, files);
    }
  }
  std::sort(files.begin(), files.end());
  files.erase(std::unique(files.begin(), files.end()), files.end());
  return files;
}

std::string digest_of_stamps(const std::vector<fs::path>& files) {
  Sha256 digest;
  for (const fs::path& file : files) {
    struct stat is {};
    if (::stat(file.c_str(), &is) != 0) continue;
    digest.update(fmt::format("{}\n{} {}.{:09d}\n", file.string(), is.st_size, is.st_mtim.tv_sec, is.st_mtim.tv_nsec));
  }
  return digest.finish();
}

std::string digest_of_bytes(const std::vector<fs::path>& files) {
  Sha256 all;
  std::string block(1U << 16U, '\0');
  for (const fs::path& file : files) {
    Sha256 digest;
    const Descriptor descriptor(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
    ssize_t got = descriptor.valid() ? 1 : -1;
    while (got > 0) {
      got = ::read(descriptor.number(), block.data(), block.size());
      if (got > 0) digest.update(std::string_view(block).substr(0, static_cast<std::size_t>(got)));
    }
    const std::string bytes = digest.finish();
    all.update(fmt::format("{}\n{}\n", file.filename().string(), got < 0 ? "not readable" : bytes));
  }
  return all.finish();
}

}  // namespace wainscot
