#include "io/convert/column_text.hpp"

#include <array>

#include <fmt/format.h>

#include "io/spelling.hpp"

namespace wainscot {

std::string name_text(const std::string& name) {
  return name.find_first_not_of("0123456789") == std::string::npos ? "column " + name : name;
}

std::string column_text(const LogSample& sample, std::size_t file, std::size_t kind, std::size_t column) {
  const RecordKind& records = sample.files[file].kinds[kind];
  const SampleColumn& found = records.columns[column];
  std::string text = name_text(found.name);
  if (!found.label.empty() && found.label != found.name) text += fmt::format(" ({})", printable(found.label));
  if (!records.choice.message.empty()) text += " of " + records.choice.message;
  return sample.files.size() > 1 ? text + " in " + sample.files[file].file.name : text;
}

std::string form_text(const LogFile& file) {
  if (file.form == LineForm::json) return "JSON lines";
  constexpr std::array kNames = {"commas", "semicolons", "tabs", "blanks"};
  return fmt::format("a table, separated by {}, {}", kNames.at(static_cast<std::size_t>(file.separator)),
                     file.header ? "with a header" : "without a header");
}

}  // namespace wainscot
