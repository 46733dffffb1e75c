#pragma once

// One value for each cell of a frame, of which most may never be touched: a robot that drives through a large building
// sees a few per cent of the rectangle around it.

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <initializer_list>
#include <iterator>
#include <stdexcept>
#include <type_traits>
#include <vector>

namespace wainscot {

/// Used like a vector. Cells lie in pages of `PageCells` in a row; a page is made when one of its cells is written to,
/// and until then its cells have one value in common. Which pages there are is seen by memory alone.
template <typename Value, std::size_t PageCells>
class CellValues {
 public:
  CellValues() = default;
  /// All of one value.
  CellValues(std::size_t size, const Value& value) { assign(size, value); }
  /// One after another.
  CellValues(const std::vector<Value>& values) {
    for (const Value& value : values) push_back(value);
  }
  CellValues(std::initializer_list<Value> values) {
    for (const Value& value : values) push_back(value);
  }

  std::size_t size() const { return size_; }
  bool empty() const { return size_ == 0; }

  void assign(std::size_t size, const Value& value) {
    size_ = size;
    untouched_ = value;
    places_.assign((size + PageCells - 1) / PageCells, kNone);
    pages_.clear();
  }

  void push_back(const Value& value) {
    if (size_ % PageCells == 0) places_.push_back(kNone);
    ++size_;
    (*this)[size_ - 1] = value;
  }

  const Value& operator[](std::size_t cell) const {
    const std::int32_t place = places_[cell / PageCells];
    return place == kNone ? untouched_ : pages_[static_cast<std::size_t>(place)][cell % PageCells];
  }
  /// To be written to.
  Value& operator[](std::size_t cell) {
    std::int32_t& place = places_[cell / PageCells];
    if (place == kNone) {
      place = static_cast<std::int32_t>(pages_.size());
      pages_.emplace_back().fill(untouched_);
    }
    return pages_[static_cast<std::size_t>(place)][cell % PageCells];
  }
  const Value& at(std::size_t cell) const { return (*this)[checked(cell)]; }
  Value& at(std::size_t cell) { return (*this)[checked(cell)]; }

  /// Calls use(cell, value) for all cells of all pages, the lowest first: all whose value can differ from the common
  /// one.
  template <typename Use>
  void for_each_touched(const Use& use) const {
    for (std::size_t page = 0; page < places_.size(); ++page) {
      if (places_[page] == kNone) continue;
      const auto& values = pages_[static_cast<std::size_t>(places_[page])];
      const std::size_t first = page * PageCells;
      for (std::size_t i = 0; i < PageCells && first + i < size_; ++i) use(first + i, values[i]);
    }
  }

  /// From the first cell to the last, touched or not.
  template <bool Const>
  class Iterator {
   public:
    using Owner = std::conditional_t<Const, const CellValues, CellValues>;
    using iterator_category = std::forward_iterator_tag;
    using value_type = Value;
    using difference_type = std::ptrdiff_t;
    using reference = std::conditional_t<Const, const Value&, Value&>;
    using pointer = std::conditional_t<Const, const Value*, Value*>;

    Iterator() = default;
    Iterator(Owner& owner, std::size_t cell) : owner_(&owner), cell_(cell) {}
    reference operator*() const { return (*owner_)[cell_]; }
    pointer operator->() const { return &(*owner_)[cell_]; }
    Iterator& operator++() {
      ++cell_;
      return *this;
    }
    Iterator operator++(int) {
      Iterator before = *this;
      ++cell_;
      return before;
    }
    bool operator==(const Iterator& other) const = default;

   private:
    Owner* owner_ = nullptr;
    std::size_t cell_ = 0;
  };
  using value_type = Value;
  Iterator<true> begin() const { return {*this, 0}; }
  Iterator<true> end() const { return {*this, size_}; }
  Iterator<false> begin() { return {*this, 0}; }
  Iterator<false> end() { return {*this, size_}; }

 private:
  static constexpr std::int32_t kNone = -1;  // no block is numbered so

  std::size_t checked(std::size_t cell) const {
    if (cell >= size_) throw std::out_of_range("there is no such cell");
    return cell;
  }

  std::size_t size_ = 0;
  Value untouched_{};
  std::vector<std::int32_t> places_;  ///< of each page in `pages_`
  std::deque<std::array<Value, PageCells>> pages_;
};

}  // namespace wainscot
