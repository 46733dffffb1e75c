#pragma once

// One line of JSON: values by the paths of their names.
//
// {"t": 12.5, "pose": {"x": 1.0}, "scan": {"mm": [812, 0, 815]}} has the numbers "t" and "pose.x" and the list
// "scan.mm". An array of arrays or of objects gives a list for each place in them: {"beams": [[0.5, 812], [1.5, 815]]}
// the lists "beams.1" and "beams.2", {"beams": [{"deg": 0.5, "mm": 812}]} the lists "beams.deg" and "beams.mm".

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace wainscot {

struct JsonValue {
  enum class Kind { absent, number, text, list, object };
  Kind kind = Kind::absent;      ///< `object` only of a path that was asked for
  double number = 0.0;           ///< NaN for null and for the words NaN and Infinity, which some writers use
  std::string_view text;         ///< of a string its content; of true and false the word; of a number its digits
  std::vector<double> list;      ///< NaN for what is null, missing or no number
  bool list_is_numbers = false;  ///< whether each element is a number, null, NaN or Infinity
};

class JsonLine {
 public:
  /// Finds the values of these paths only, each in its order. What stands elsewhere in a line is skipped fast.
  explicit JsonLine(std::vector<std::string> paths);
  /// Learns each path that it meets, up to 10,000.
  JsonLine();
  JsonLine(JsonLine&&) noexcept;
  JsonLine& operator=(JsonLine&&) noexcept;
  ~JsonLine();

  /// Reads a line, behind which `kBytesBehindLine` bytes are readable. False: it is no JSON object; then the values are
  /// of no use. Values are valid until the next call.
  bool read(std::string_view line);

  const std::vector<std::string>& paths() const { return paths_; }
  const std::vector<JsonValue>& values() const { return values_; }  ///< in the order of `paths`

 private:
  struct Parser;
  struct Name {
    std::string key;
    std::size_t node;
  };
  struct Node {
    std::string path;
    std::size_t value = kNone;  ///< index in values_
    bool leads_on = false;      ///< a wanted path begins so
    std::vector<Name> names;    ///< that were met below it
  };
  struct Walk;
  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);

  std::size_t child(std::size_t node, std::string_view key);
  std::size_t new_node(std::string path);
  JsonValue* value_of(std::size_t node);

  bool learns_ = false;
  std::vector<std::string> paths_;
  std::vector<JsonValue> values_;
  std::vector<Node> nodes_;
  std::unique_ptr<Parser> parser_;
};

}  // namespace wainscot
