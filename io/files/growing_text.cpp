#include "io/files/growing_text.hpp"

#include <cerrno>
#include <cstring>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/errors.hpp"
#include "io/files/binary_form.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

// A call is to take milliseconds, also where an hour's file is there at once.
constexpr std::size_t kMostBytes = std::size_t{1} << 20;

}  // namespace

GrowingText::GrowingText(Descriptor source) : source_(std::move(source)), buffer_(kMostBytes) {}

std::string GrowingText::name() const { return file_.empty() ? "standard input" : shown(file_); }

/// Whether reading would not wait. O_NONBLOCK in its place would be another program's flag as well, such as a shell's.
bool GrowingText::is_ready() const {
  pollfd asked{source_.number(), POLLIN, 0};
  return ::poll(&asked, 1, 0) > 0;
}

GrowingText::News GrowingText::open() {
  OpenedFile open = opened_file(file_, Links::follow);
  if (!open.descriptor.valid()) {
    if (open.error == ENOENT) return News::none;  // the recorder has not begun it
    throw InputError(
        fmt::format("{}: cannot be opened ({}); check the permissions", name(), std::strerror(open.error)));
  }
  if (!open.is_plain) throw InputError(fmt::format("{}: is not a plain file; give the recorded file itself", name()));
  struct stat found = {};
  ::fstat(open.descriptor.number(), &found);
  const bool is_another = number_ != 0;
  device_ = found.st_dev;
  number_ = found.st_ino;
  given_ = 0;
  begun_.clear();
  is_first_line_ = true;
  source_ = std::move(open.descriptor);
  buffer_.resize(kMostBytes);
  return is_another ? News::replaced : News::lines;
}

bool GrowingText::was_replaced() const {
  struct stat at_name = {};
  struct stat opened = {};
  if (::stat(file_.c_str(), &at_name) != 0) return false;  // removed; what is open may still grow
  if (at_name.st_dev != device_ || at_name.st_ino != number_) return true;
  return ::fstat(source_.number(), &opened) == 0 && opened.st_size < given_;
}

GrowingText::News GrowingText::read(std::string& text) {
  if (!file_.empty() && (!source_.valid() || was_replaced())) {
    const News opened = open();
    if (opened != News::lines) return opened;
  }
  if (file_.empty() && !is_ready()) return News::none;
  ssize_t got = 0;
  do {
    got = ::read(source_.number(), buffer_.data(), buffer_.size());
  } while (got < 0 && errno == EINTR);
  if (got < 0) throw InputError(fmt::format("{}: cannot be read ({}); check the disk", name(), std::strerror(errno)));
  if (got == 0) return News::none;
  const std::string_view came(buffer_.data(), static_cast<std::size_t>(got));
  given_ += got;
  begun_ += came;
  if (is_first_line_) {
    if (const std::string_view form = binary_form(begun_); !form.empty()) {
      throw InputError(fmt::format("{}: {}", name(), form));
    }
  }
  const std::size_t end = came.rfind('\n');
  if (end == std::string_view::npos) {
    if (begun_.size() <= kLongestLine) return News::none;
    throw InputError(fmt::format(
        "{}: a line is longer than 4 MB, so this is not one of the files that are read here; check what wrote it",
        name()));
  }
  // Only here all of its bytes have come for sure.
  if (is_first_line_ && begun_.starts_with(kByteOrderMark)) begun_.erase(0, kByteOrderMark.size());
  is_first_line_ = false;
  const std::size_t whole = begun_.size() - (came.size() - end - 1);
  text.append(begun_, 0, whole);
  begun_.erase(0, whole);
  return News::lines;
}

}  // namespace wainscot
