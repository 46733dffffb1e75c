#include "io/convert/misfits.hpp"

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kNoneOfFirst = 10;
constexpr std::size_t kCutLines = 3;
constexpr std::size_t kOneIn = 100;

}  // namespace

void Misfits::count(const LogLines& lines, const std::string& what) {
  if (++misfits_ == 1) first_ = lines.message(what, lines.line_number());
  if (fitting_ == 0 && misfits_ == kNoneOfFirst) fail();
}

void Misfits::fail() const {
  throw InputError(fmt::format(
      "{}; {} of {} do not fit, so the log is otherwise than columns.yaml says: correct {} there", first_,
      whole_text(misfits_), count_text(misfits_ + fitting_, "line"), section_.empty() ? "files" : section_));
}

void Misfits::finish(std::vector<std::string>& warnings) const {
  if (misfits_ == 0) return;
  if (fitting_ == 0 || (misfits_ > kCutLines && misfits_ * kOneIn > misfits_ + fitting_)) fail();
  warnings.push_back(fmt::format("{}; left out, as {} of {}{}", first_, whole_text(misfits_),
                                 count_text(misfits_ + fitting_, "line"), section_.empty() ? "" : " for " + section_));
}

}  // namespace wainscot
