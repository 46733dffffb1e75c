#include "io/robot/plain_yaml.hpp"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>

#include <algorithm>
#include <sstream>
#include <string_view>

#include "core/errors.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

// Sees the file's parts before anything is built from them, and refuses what could be expanded without end.
class RefuseAliases : public YAML::EventHandler {
 public:
  explicit RefuseAliases(std::string file) : file_(std::move(file)) {}

  void OnDocumentStart(const YAML::Mark& mark) override {
    if (++documents_ > 1) fail_at(file_, mark, "a second document begins; remove it and the line ---");
  }
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
    fail_at(file_, mark, "an alias (*name) stands here; write the value itself");
  }
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark&, YAML::anchor_t) override {}
  void OnScalar(const YAML::Mark&, const std::string&, YAML::anchor_t, const std::string&) override {}
  void OnSequenceStart(const YAML::Mark&, const std::string&, YAML::anchor_t, YAML::EmitterStyle::value) override {}
  void OnSequenceEnd() override {}
  void OnMapStart(const YAML::Mark&, const std::string&, YAML::anchor_t, YAML::EmitterStyle::value) override {}
  void OnMapEnd() override {}

 private:
  std::string file_;
  int documents_ = 0;
};

// A tab is not YAML where it indents, and the parser takes a NUL for the end of the file.
void refuse_control_characters(const std::string& text, const std::string& file) {
  std::size_t line_number = 0;
  for (std::size_t start = 0; start < text.size();) {
    ++line_number;
    const std::size_t stop = std::min(text.find('\n', start), text.size());
    std::string_view line = std::string_view(text).substr(start, stop - start);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);  // a line end of CR LF
    if (line.substr(0, line.find('#')).find('\t') != std::string_view::npos) {
      throw InputError(fmt::format("{}:{}: a tab stands here; indent with spaces", file, line_number));
    }
    const bool odd = std::any_of(line.begin(), line.end(), [](char c) { return c >= '\0' && c < ' ' && c != '\t'; });
    if (odd) {
      throw InputError(
          fmt::format("{}:{}: a control character stands here ('{}'); remove it", file, line_number, printable(line)));
    }
    start = stop + 1;
  }
}

}  // namespace

void fail_at(const std::string& file, const YAML::Mark& mark, const std::string& what) {
  throw InputError(fmt::format("{}:{}: {}", file, std::max(mark.line, 0) + 1, what));
}

YAML::Node load_plain_yaml(const std::string& text, const std::string& file) {
  refuse_control_characters(text, file);
  try {
    std::istringstream stream(text);
    YAML::Parser parser(stream);
    RefuseAliases check(file);
    while (parser.HandleNextDocument(check)) {
    }
    return YAML::Load(text);
  } catch (const YAML::Exception& error) {
    fail_at(file, error.mark,
            fmt::format("is not YAML ({}); write 'key: value' lines, those of one section indented alike",
                        printable(error.msg, 120)));
  }
}

}  // namespace wainscot
