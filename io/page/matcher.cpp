// What a page that explains a match calls: the project's own matcher as WebAssembly. Built by
// io/page/CMakeLists.txt; and into the tests, for the machine at hand.

#include <cstddef>
#include <optional>
#include <vector>

#include "scanmatch/match_numbers.hpp"

namespace {

std::vector<double> problem_numbers;
std::vector<double> trace_numbers;

}  // namespace

extern "C" {

/// Where the page puts the `count` numbers of a problem (scanmatch/match_numbers.hpp).
double* problem_at(std::size_t count) {
  problem_numbers.assign(count, 0.0);
  return problem_numbers.data();
}

/// Solves the problem and returns how many numbers its trace has; 0 where the problem is none.
std::size_t solve() {
  const std::optional<wainscot::MatchProblem> problem = wainscot::problem_of(problem_numbers);
  if (!problem) return 0;
  trace_numbers = wainscot::numbers_of(wainscot::trace_icp(*problem));
  return trace_numbers.size();
}

const double* trace_at() { return trace_numbers.data(); }
}
