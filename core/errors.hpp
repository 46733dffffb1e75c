#pragma once

#include <stdexcept>

namespace wainscot {

/// What the user gave is wrong: a file, an option, a folder. The text is one sentence for people that names the file
/// and line, what is wrong and what to do. The program ends with status 2.
class InputError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// The data cannot give what was asked (too few scans, nothing seen, ...). The text is one sentence for people. The
/// program ends with status 1.
class PoorData : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

}  // namespace wainscot
