#include "io/page/filled_form.hpp"

#include <algorithm>

namespace wainscot {

std::string filled_form(std::string_view form, const std::vector<std::pair<std::string_view, std::string>>& values) {
  std::string text;
  std::size_t at = 0;
  while (at < form.size()) {
    const auto value = std::find_if(values.begin(), values.end(),
                                    [&](const auto& v) { return form.substr(at, v.first.size()) == v.first; });
    if (form[at] == '@' && value != values.end()) {
      text += value->second;
      at += value->first.size();
    } else {
      text.push_back(form[at++]);
    }
  }
  return text;
}

}  // namespace wainscot
