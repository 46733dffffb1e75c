#include "io/convert/log_lines.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <poll.h>
#include <unistd.h>
#include <zlib.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/binary_form.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kMoreThanNoise = 4096;  // bytes: what a serial line picks up before a short log is less
constexpr std::size_t kLogBlock = std::size_t{256} * 1024;  // a quarter of a second-level cache

}  // namespace

void LogLines::CloseZip::operator()(gzFile_s* file) const { gzclose_r(file); }

LogLines::LogLines(const std::filesystem::path& path, std::vector<std::string>& warnings, BlockRead block_read)
    : name_(shown(path)),
      warnings_(warnings),
      block_read_(std::move(block_read)),
      buffer_(2 * kLogBlock + kBytesBehindLine) {
  open(path);
  begin();
}

LogLines::LogLines(Descriptor pipe, std::vector<std::string>& warnings, std::function<bool()> goes_on)
    : name_("standard input"),
      warnings_(warnings),
      pipe_(std::move(pipe)),
      goes_on_(std::move(goes_on)),
      buffer_(2 * kLogBlock + kBytesBehindLine) {
  begin();
}

void LogLines::begin() {
  read_block();
  const std::string_view start(buffer_.data(), end_);
  if (start.empty()) throw InputError(fmt::format("{}: is empty; give the log that the robot wrote", name_));
  // Not whether its first line is text: a log may begin with a serial line's noise.
  const std::string_view form = foreign_form(start);
  if (!form.empty()) throw InputError(fmt::format("{}: {}", name_, form));
  if (start.size() >= kMoreThanNoise && is_mostly_binary(start)) {
    throw InputError(fmt::format("{}: is a binary file; give the robot's own logs as text", name_));
  }
  if (start.starts_with(kByteOrderMark)) begin_ = kByteOrderMark.size();
}

void LogLines::open(const std::filesystem::path& path) {
  const OpenedFile opened = opened_file(path, Links::follow);
  if (!opened.descriptor.valid() && opened.error != ENXIO) {
    throw InputError(fmt::format("{}: cannot be opened ({}); check the name and the permissions", name_,
                                 std::generic_category().message(opened.error)));
  }
  if (std::error_code none; std::filesystem::is_directory(path, none)) {
    throw InputError(fmt::format("{}: is a folder; give the logs in it, each by its name", name_));
  }
  if (!opened.is_plain) throw InputError(fmt::format("{}: is not a plain file; give the log itself", name_));
  is_link_ = opened.is_link;
  size_ = opened.size;
  const int number = ::fcntl(opened.descriptor.number(), F_DUPFD_CLOEXEC, 0);  // gzclose closes this one
  if (number < 0) throw std::system_error(errno, std::generic_category());
  zip_.reset(gzdopen(number, "rb"));
  if (!zip_) {
    ::close(number);
    throw std::bad_alloc();
  }
  gzbuffer(zip_.get(), kLogBlock / 2);
  is_plain_text_ = gzdirect(zip_.get()) == 1;
}

std::string LogLines::message(const std::string& what, std::size_t line_number) const {
  return fmt::format("{}:{}: {}", name_, std::max<std::size_t>(line_number, 1), is_link_ ? kFaultBehindLink : what);
}

void LogLines::fail(const std::string& what) const { throw InputError(message(what, line_number_)); }

void LogLines::read_block() {
  if (begin_ > 0) {
    std::memmove(buffer_.data(), buffer_.data() + begin_, end_ - begin_);
    end_ -= begin_;
    begin_ = 0;
  }
  if (buffer_.size() - end_ < kLogBlock + kBytesBehindLine) buffer_.resize(2 * buffer_.size());
  const std::size_t got = pipe_.valid() ? read_pipe(kLogBlock) : read_file(kLogBlock);
  end_ += got;
  at_end_ = got == 0;
}

/// Waits until something has come.
std::size_t LogLines::read_pipe(std::size_t most) {
  constexpr int kAskedEachMs = 100;
  pollfd source{pipe_.number(), POLLIN, 0};
  while (goes_on_()) {
    if (::poll(&source, 1, kAskedEachMs) <= 0) continue;
    const ssize_t got = ::read(pipe_.number(), buffer_.data() + end_, most);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0)
      throw InputError(fmt::format("{}: cannot be read ({})", name_, std::generic_category().message(errno)));
    return static_cast<std::size_t>(got);
  }
  return 0;
}

std::size_t LogLines::read_file(std::size_t most) {
  std::size_t wanted = most;
  // What a robot writes meanwhile belongs to the next time: else a log that grows as fast as it is read has no end.
  if (is_plain_text_) wanted = static_cast<std::size_t>(std::min<std::uintmax_t>(wanted, size_ - text_bytes_));
  const int got = wanted > 0 ? gzread(zip_.get(), buffer_.data() + end_, static_cast<unsigned>(wanted)) : 0;
  if (got < 0) {
    int code = Z_OK;
    gzerror(zip_.get(), &code);
    const std::string reason = code == Z_ERRNO ? std::generic_category().message(errno) + "; check the disk"
                                               : "its gzip data are damaged; copy it again, or unpack what can be read";
    throw InputError(fmt::format("{}: cannot be read on behind line {} ({})", name_, line_number_, reason));
  }
  text_bytes_ += static_cast<std::uintmax_t>(got);
  if (block_read_) {
    const std::int64_t done = gzoffset64(zip_.get());
    if (done > told_bytes_) block_read_(static_cast<std::size_t>(done - told_bytes_));
    told_bytes_ = std::max(told_bytes_, done);
  }
  return static_cast<std::size_t>(got);
}

void LogLines::note_end() {
  int code = Z_OK;
  if (zip_) gzerror(zip_.get(), &code);
  if (code == Z_BUF_ERROR) {
    warnings_.push_back(
        fmt::format("{}: its gzip data end early, behind line {}; what was there was used", name_, line_number_));
  } else if (begin_ != end_) {
    warnings_.push_back(fmt::format("{}:{}: the last line has no line end, so it may be cut short; it was left out",
                                    name_, line_number_ + 1));
  }
  begin_ = end_;
  zip_.reset();
  pipe_ = Descriptor();
}

bool LogLines::next(std::string_view& line) {
  std::size_t searched = begin_;
  const void* found = nullptr;
  while ((found = std::memchr(buffer_.data() + searched, '\n', end_ - searched)) == nullptr && !at_end_) {
    searched = end_ - begin_;  // read_block moves what is left to the front
    if (searched > kLongestLine) {
      ++line_number_;
      if (std::memchr(buffer_.data() + begin_, '\r', end_ - begin_) != nullptr) {
        fail("the lines end in a lone CR; save the log with LF or CR LF line ends");
      }
      fail("the line is longer than 4 MB, so this is no log of lines; check what wrote it");
    }
    read_block();
  }
  if (found == nullptr) {
    if (zip_ || pipe_.valid()) note_end();
    return false;
  }
  const char* const start = buffer_.data() + begin_;
  const char* const stop = static_cast<const char*>(found);
  begin_ = static_cast<std::size_t>(stop - buffer_.data()) + 1;
  line = {start, static_cast<std::size_t>(stop - start)};
  if (line.ends_with('\r')) line.remove_suffix(1);
  ++line_number_;
  if (!pipe_.valid() || line != "end") return true;
  begin_ = end_;
  pipe_ = Descriptor();
  at_end_ = true;
  return false;
}

}  // namespace wainscot
