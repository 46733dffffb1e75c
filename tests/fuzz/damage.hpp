#pragma once

#include <array>
#include <random>
#include <string>

namespace wainscot {

/// One small damage somewhere in the text.
inline void damage(std::string& text, std::mt19937& random) {
  using namespace std::string_literals;
  static const std::array kNasty = {"\0"s,
                                    "nan"s,
                                    "-1"s,
                                    "1e999"s,
                                    ",,"s,
                                    "\n\n"s,
                                    "\r"s,
                                    "#"s,
                                    "1,5"s,
                                    "\t"s,
                                    "\xff\xfe"s,
                                    "\xc3"s,
                                    "*a"s,
                                    "&a "s,
                                    "[[[["s,
                                    "{"s,
                                    "99999999999999999999"s,
                                    "0x1p3"s,
                                    "-0"s,
                                    "1e-320"s,
                                    "\"\""s,
                                    " "s,
                                    ": "s,
                                    "---\n"s,
                                    "!!int "s,
                                    "1e10"s,
                                    "|"s,
                                    "?"s,
                                    "65535"s,
                                    "-32768"s,
                                    "1e5"s};
  const auto at = [&](std::size_t size) { return size == 0 ? std::size_t{0} : random() % size; };
  const std::size_t i = at(text.size() + 1);
  const std::size_t n = 1 + random() % 8;
  switch (random() % 8) {
    case 0:
      text.insert(i, kNasty[at(kNasty.size())]);
      break;
    case 1:
      text.replace(i, n, kNasty[at(kNasty.size())]);
      break;
    case 2:
      text.erase(i, n);
      break;
    case 3:
      text.resize(i);
      break;
    case 4:
      if (i < text.size()) text[i] = static_cast<char>(random());
      break;
    case 5:
      text.insert(i, text.substr(at(text.size()), 1 + random() % 60));
      break;
    case 6:
      if (i < text.size()) text[i] = "0123456789.,-+e\n"[random() % 16];
      break;
    default: {  // two lines change places
      const std::size_t a = text.find('\n', i);
      const std::size_t b = a == std::string::npos ? a : text.find('\n', a + 1);
      if (b != std::string::npos)
        text = text.substr(0, i) + text.substr(a, b - a) + text.substr(i, a - i) + text.substr(b);
    }
  }
}

}  // namespace wainscot
