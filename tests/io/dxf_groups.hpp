#pragma once

// DXF documents taken apart, for the tests of what writes them: into groups, a code and a value, and these into parts,
// which each begin with code 0.

#include <cstddef>
#include <cstdlib>
#include <sstream>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace wainscot {

struct DxfPart {
  std::string kind;
  std::vector<std::pair<int, std::string>> groups;  ///< without the first, which is the kind

  /// Every value of a code, in their order.
  std::vector<std::string> all(int code) const {
    std::vector<std::string> values;
    for (const auto& [its_code, value] : groups) {
      if (its_code == code) values.push_back(value);
    }
    return values;
  }
  /// The one value of a code; throws where there is none, or more.
  std::string one(int code) const {
    const std::vector<std::string> values = all(code);
    if (values.size() != 1) throw std::runtime_error(kind + " has not one value of code " + std::to_string(code));
    return values.front();
  }
  double number(int code) const { return std::strtod(one(code).c_str(), nullptr); }
};

/// Throws where a code is no number, a value is missing, or the first part has no beginning.
inline std::vector<DxfPart> dxf_parts(const std::string& document) {
  std::vector<DxfPart> parts;
  std::istringstream in(document);
  for (std::string code_line, value; std::getline(in, code_line);) {
    std::size_t end = 0;
    const int code = std::stoi(code_line, &end);
    if (end != code_line.size() || !std::getline(in, value)) throw std::runtime_error("no pair: " + code_line);
    if (code == 0) {
      parts.push_back({value, {}});
    } else {
      if (parts.empty()) throw std::runtime_error("the document does not begin with a part");
      parts.back().groups.emplace_back(code, value);
    }
  }
  return parts;
}

/// The parts of a section, without its beginning and end. Throws where it is not there or has no end.
inline std::vector<DxfPart> dxf_section(const std::string& document, const std::string& name) {
  std::vector<DxfPart> section;
  bool inside = false;
  for (const DxfPart& part : dxf_parts(document)) {
    if (part.kind == "ENDSEC" && inside) return section;
    if (inside) section.push_back(part);
    if (part.kind == "SECTION" && part.one(2) == name) inside = true;
  }
  throw std::runtime_error("no section " + name);
}

inline std::vector<DxfPart> dxf_kind(const std::vector<DxfPart>& parts, const std::string& kind) {
  std::vector<DxfPart> chosen;
  for (const DxfPart& part : parts) {
    if (part.kind == kind) chosen.push_back(part);
  }
  return chosen;
}

/// The names of layers, in their order.
inline std::vector<std::string> dxf_layers(const std::string& document) {
  std::vector<std::string> names;
  for (const DxfPart& layer : dxf_kind(dxf_section(document, "TABLES"), "LAYER")) names.push_back(layer.one(2));
  return names;
}

/// What follows a variable of the header, up to the next one: a part with its groups.
inline DxfPart dxf_variable(const std::string& document, const std::string& name) {
  DxfPart variable{name, {}};
  bool inside = false;
  for (const DxfPart& part : dxf_parts(document)) {
    if (part.kind != "SECTION" || part.all(2) != std::vector<std::string>{"HEADER"}) continue;
    for (const auto& [code, value] : part.groups) {
      if (code == 9) {
        inside = value == name;
      } else if (inside) {
        variable.groups.emplace_back(code, value);
      }
    }
  }
  return variable;
}

}  // namespace wainscot
