#pragma once

#include <utility>

#include <unistd.h>

namespace wainscot {

/// The number of an open file or folder (POSIX), which closes itself; negative: none.
class Descriptor {
 public:
  Descriptor() = default;
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    close();
    number_ = std::exchange(other.number_, -1);
    return *this;
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { close(); }
  int number() const { return number_; }
  bool valid() const { return number_ >= 0; }

 private:
  void close() const {
    if (number_ >= 0) ::close(number_);
  }

  int number_ = -1;
};

}  // namespace wainscot
