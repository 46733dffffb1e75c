#pragma once

// One match as a row of numbers, and back: what carries it from the program into a page, where the same matcher runs
// as WebAssembly, and its trace from there to the page's script. Every number is a double, so that nothing is lost.
//
// A problem: [kProblemHeader numbers][kPointNumbers a point][kLineNumbers a line].
//   header: points, lines, predicted x, y, heading, prior (9, row by row), noise near, noise per metre, then the
//   options: iterations, first gate, last gate, robust scale, line error, stop m, stop rad, renew m, oldest node.
//   point: x, y, beam x, beam y, range, normal x, normal y.
//   line: anchor x, y, normal x, y, fitted normal x, y, fitted offset, first along, last along, last node, slope
//   variance, range bias.
// A trace: [kTraceHeader numbers] then each iteration: [kIterationHeader numbers][kPairNumbers a pair].
//   header: iterations recorded, pose x, y, heading, information (9), overlap, residual, pairs, converged (0 or 1).
//   iteration: pose x, y, heading, gate, residual, step x, y, heading, pairs.
//   pair: point, line, distance, weight.
// Lengths in metres, angles in radians.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "scanmatch/icp.hpp"

namespace wainscot {

// How many numbers each of these has: counted in the list above.
inline constexpr std::size_t kProblemHeader = 27;
inline constexpr std::size_t kPointNumbers = 7;
inline constexpr std::size_t kLineNumbers = 13;
inline constexpr std::size_t kTraceHeader = 17;
inline constexpr std::size_t kIterationHeader = 9;
inline constexpr std::size_t kPairNumbers = 4;

/// What the matcher reads of a problem; what it does not read (a line's moments, say) is left out.
std::vector<double> numbers_of(const MatchProblem& problem);

/// The problem again: matches to the last bit like the one that `numbers_of` was given. nullopt where
/// there are not as many numbers as the header says (no exception, since WebAssembly has none).
std::optional<MatchProblem> problem_of(std::span<const double> numbers);

std::vector<double> numbers_of(const TracedMatch& traced);

}  // namespace wainscot
