#include "io/files/binary_form.hpp"

#include <algorithm>
#include <array>

namespace wainscot {
namespace {

struct Signature {
  std::string_view bytes;
  std::string_view what;
};

using namespace std::string_view_literals;

// The formats that people hand over by mistake, by their first bytes.
constexpr std::array kSignatures = {
    Signature{"\xff\xfe"sv, "is UTF-16 text; save it as UTF-8"},
    Signature{"\xfe\xff"sv, "is UTF-16 text; save it as UTF-8"},
    Signature{"\0\0\xfe\xff"sv, "is UTF-32 text; save it as UTF-8"},
    Signature{"\x1f\x8b"sv, "is compressed (gzip); unpack it first"},
    Signature{"\xfd"
              "7zXZ"sv,
              "is compressed (xz); unpack it first"},
    Signature{"\x28\xb5\x2f\xfd"sv, "is compressed (Zstandard); unpack it first"},
    Signature{"BZh"sv, "is compressed (bzip2); unpack it first"},
    Signature{"PK\x03\x04"sv, "is a ZIP file or a spreadsheet's own format; save it as CSV text"},
    Signature{"\xd0\xcf\x11\xe0"sv, "is a spreadsheet's own format; save it as CSV text"},
    Signature{"SQLite format 3"sv, "is a database; write its rows as CSV text"},
};

/// Whether no text has it within a line.
bool is_odd(char c) { return static_cast<unsigned char>(c) < 0x20 && c != '\t' && c != '\r' && c != '\n' && c != '\f'; }

}  // namespace

std::string_view foreign_form(std::string_view start) {
  for (const Signature& signature : kSignatures) {
    if (start.starts_with(signature.bytes)) return signature.what;
  }
  // The first line of every format here is longer than a few characters, so text in UTF-16 without a byte order mark
  // shows a NUL in every other place at once.
  const std::string_view head = start.substr(0, 8);
  if (head.size() >= 4 && head[0] != '\0' && head[1] == '\0' && head[2] != '\0' && head[3] == '\0') {
    return "is UTF-16 text; save it as UTF-8";
  }
  if (head.size() >= 4 && head[0] == '\0' && head[1] != '\0' && head[2] == '\0' && head[3] != '\0') {
    return "is UTF-16 text; save it as UTF-8";
  }
  return {};
}

bool is_mostly_binary(std::string_view text) {
  constexpr std::ptrdiff_t kNoiseOneIn = 20;
  return kNoiseOneIn * std::count_if(text.begin(), text.end(), is_odd) > std::ssize(text);
}

std::string_view binary_form(std::string_view start) {
  const std::string_view form = foreign_form(start);
  if (!form.empty()) return form;
  const std::string_view first_line = start.substr(0, start.find('\n'));
  return std::any_of(first_line.begin(), first_line.end(), is_odd) ? "is a binary file; write it as plain UTF-8 text"
                                                                   : std::string_view{};
}

}  // namespace wainscot
