#include "graph/check/diagnosis.hpp"

#include <utility>

namespace wainscot {

Finding& Diagnosis::add(Fault fault, std::string what, std::string figure, double confidence,
                        const std::vector<std::string>& keys, std::string act) {
  Finding finding;
  finding.fault = fault;
  finding.what = std::move(what);
  finding.figure = std::move(figure);
  finding.confidence = confidence;
  for (const std::string& key : keys) finding.lines.push_back(robot_line(mended, key));
  finding.act = std::move(act);
  findings.push_back(std::move(finding));
  return findings.back();
}

}  // namespace wainscot
