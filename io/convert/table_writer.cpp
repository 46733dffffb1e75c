#include "io/convert/table_writer.hpp"

#include <algorithm>
#include <cerrno>
#include <stdexcept>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <unistd.h>

#include "io/files/stop_signal.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kTableBlock = std::size_t{1} << 20;  // bytes that are written at once

[[noreturn]] void fail_to_write() { throw std::runtime_error(std::generic_category().message(errno)); }

}  // namespace

TableWriter::TableWriter(const std::filesystem::path& file)
    : descriptor_(::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666)), buffer_(2 * kTableBlock) {
  if (!descriptor_.valid()) fail_to_write();
}

TableWriter::TableWriter(Descriptor open) : descriptor_(std::move(open)), buffer_(2 * kTableBlock) {}

void TableWriter::add_header(std::string_view text) {
  if (size_ + text.size() > buffer_.size()) buffer_.resize(size_ + text.size());
  add(text);
  row_begin_ = size_;
}

bool TableWriter::begin_row(double time_s, std::size_t most_bytes) {
  if (time_s < before_last_s_) {
    ++left_out_;
    return false;
  }
  if (time_s < last_s_) {
    size_ = row_begin_;
    ++left_out_;
    --rows_;
  } else {
    before_last_s_ = last_s_;
    if (size_ >= kTableBlock) {
      stop_if_asked();
      write_out();
    }
  }
  if (rows_ == 0) first_s_ = time_s;
  ++rows_;
  last_s_ = time_s;
  row_begin_ = size_;
  if (buffer_.size() < size_ + most_bytes) buffer_.resize(size_ + most_bytes + kTableBlock);
  return true;
}

void TableWriter::write_out() {
  std::size_t written = 0;
  while (written < size_) {
    const ssize_t put = ::write(descriptor_.number(), buffer_.data() + written, size_ - written);
    if (put < 0 && errno != EINTR) fail_to_write();
    if (put > 0) written += static_cast<std::size_t>(put);
  }
  size_ = 0;
}

void TableWriter::write_rows() {
  if (size_ == 0) return;
  write_out();
  before_last_s_ = last_s_;
}

void TableWriter::finish() {
  stop_if_asked();
  write_out();
  if (::fsync(descriptor_.number()) != 0) fail_to_write();
}

}  // namespace wainscot
