#include "io/files/file_reader.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <utility>

#include "core/errors.hpp"
#include "io/files/binary_form.hpp"
#include "io/files/plain_file.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kBlockSize =
    std::size_t{128} * 1024;  // stays in the second-level cache between hashing and parsing
constexpr std::size_t kLongestName = 300;

}  // namespace

FileReader::FileReader(const std::filesystem::path& path, BlockRead block_read)
    : name_(printable(path.string(), kLongestName)), block_read_(std::move(block_read)), buffer_(2 * kBlockSize) {
  OpenedFile open = opened_file(path, Links::follow);
  // A socket, or a pipe without its other end, cannot be opened so (ENXIO).
  if (!open.descriptor.valid() && open.error != ENXIO) {
    throw InputError(
        fmt::format("{}: cannot be opened ({}); check the name and the permissions", name_, std::strerror(open.error)));
  }
  if (!open.is_plain) throw InputError(fmt::format("{}: is not a plain file; give the recorded file itself", name_));
  is_link_ = open.is_link;
  descriptor_ = std::move(open.descriptor);
  read_block();
  const std::string_view start(buffer_.data(), end_);
  if (start.empty()) throw InputError(fmt::format("{}: is empty; fill it, or remove it where it is not needed", name_));
  const std::string_view form = binary_form(start);
  if (!form.empty()) throw InputError(fmt::format("{}: {}", name_, form));
  if (start.starts_with(kByteOrderMark)) begin_ = kByteOrderMark.size();
}

FileReader::FileReader(std::string name, std::string_view header, std::string_view rows, std::size_t first_row)
    : name_(std::move(name)),
      buffer_(header.begin(), header.end()),
      end_(header.size() + rows.size()),
      at_end_of_file_(true),
      header_lines_(static_cast<std::size_t>(std::count(header.begin(), header.end(), '\n'))),
      first_row_(first_row) {
  buffer_.insert(buffer_.end(), rows.begin(), rows.end());
}

void FileReader::fail(const std::string& what) const { fail_at(line_number_, what); }

void FileReader::fail_at(std::size_t line, const std::string& what) const {
  throw InputError(fmt::format("{}:{}: {}", name_, std::max<std::size_t>(line, 1), is_link_ ? kFaultBehindLink : what));
}

void FileReader::read_block() {
  if (begin_ > 0) {
    std::memmove(buffer_.data(), buffer_.data() + begin_, end_ - begin_);
    end_ -= begin_;
    begin_ = 0;
  }
  if (buffer_.size() - end_ < kBlockSize) buffer_.resize(2 * buffer_.size());
  ssize_t got = 0;
  do {
    got = ::read(descriptor_.number(), buffer_.data() + end_, kBlockSize);
  } while (got < 0 && errno == EINTR);
  if (got < 0) {
    throw InputError(fmt::format("{}: cannot be read ({}); check the disk", name_, std::strerror(errno)));
  }
  const auto size = static_cast<std::size_t>(got);
  hash_.update({buffer_.data() + end_, size});
  end_ += size;
  at_end_of_file_ = size == 0;
  if (block_read_) block_read_(size);
}

bool FileReader::next_line(std::string_view& line) {
  std::size_t searched = begin_;
  const void* found = nullptr;
  while ((found = std::memchr(buffer_.data() + searched, '\n', end_ - searched)) == nullptr && !at_end_of_file_) {
    searched = end_ - begin_;  // read_block moves what is left to the front
    if (searched > kLongestLine) {
      ++line_number_;
      if (std::memchr(buffer_.data() + begin_, '\r', end_ - begin_) != nullptr) {
        fail("the lines end in a lone CR; save the file with LF or CR LF line ends");
      }
      fail("the line is longer than 4 MB, so this is not one of the files that are read here; check what wrote it");
    }
    read_block();
  }
  if (found == nullptr && begin_ == end_) return false;
  const char* const start = buffer_.data() + begin_;
  const char* const stop = found != nullptr ? static_cast<const char*>(found) : buffer_.data() + end_;
  line_is_finished_ = found != nullptr;
  begin_ = static_cast<std::size_t>(stop - buffer_.data()) + (line_is_finished_ ? 1 : 0);
  line = {start, static_cast<std::size_t>(stop - start)};
  if (line_is_finished_ && line.ends_with('\r')) line.remove_suffix(1);
  ++line_number_;
  if (header_lines_ > 0 && line_number_ == header_lines_ + 1) line_number_ = std::max(first_row_, line_number_);
  return true;
}

std::string read_small_file(const std::filesystem::path& path, std::size_t most_bytes, std::string* checksum,
                            bool* is_link) {
  FileReader file(path);
  std::string text;
  std::string_view line;
  while (file.next_line(line)) {
    text.append(line).push_back('\n');
    if (text.size() > most_bytes) {
      throw InputError(
          fmt::format("{}: is larger than {} bytes; check that it is the right file", file.name(), most_bytes));
    }
  }
  if (checksum != nullptr) *checksum = file.checksum();
  if (is_link != nullptr) *is_link = file.is_link();
  return text;
}

}  // namespace wainscot
