#include "graph/close/closure_reasons.hpp"

#include <cstddef>

#include "graph/sentence.hpp"

namespace wainscot {
namespace {

const char* text_of(Doubt doubt) {
  switch (doubt) {
    case Doubt::refuted:
      return "the places before and behind do not fit as they would if this were the same place";
    case Doubt::too_little:
      return "the walls fit, but too few other places agree to exclude chance";
    case Doubt::rivalled:
      return "another place fits about as well, and odometry cannot tell which of them it is";
    case Doubt::contradicted_later:
      return "what was seen later contradicts it";
  }
  return "";
}

/// What somebody or something vouched for was not believed.
std::string but(const Verified& verified, const std::string& why) {
  if (verified.hinted) return "a hint says that this is the same place, but " + why;
  if (!verified.marker.empty()) return "marker " + verified.marker + " was seen at both times, but " + why;
  return why;
}

std::string disagreement(const Verified& verified) {
  if (verified.hinted) return but(verified, "it does not agree with the closures");
  if (!verified.marker.empty()) return but(verified, "this does not agree with the other closures");
  return "does not agree with the other closures";
}

std::string acceptance(const Tried& tried) {
  const Verified& verified = tried.verified;
  if (verified.hinted) return "a hint says so, and the walls do not contradict it";
  if (!verified.marker.empty()) {
    return "marker " + verified.marker + " was seen at both times, " +
           (verified.by_marker_alone ? "the walls do not contradict it" : "walls coincide, free space agrees") +
           ", and the closures agree with one another";
  }
  const std::string reason = "walls coincide, free space agrees, and the closures agree with one another";
  return tried.hypothesis ? reason + "; so do the places before and behind" : reason;
}

std::string reason_of(const Tried& tried, const Judgement& judgement) {
  switch (judgement.outcome) {
    case Outcome::unfit:
      return but(tried.verified, tried.verified.candidate.reason);
    case Outcome::doubted:
      return text_of(judgement.doubt.value());
    case Outcome::disagrees:
      return disagreement(tried.verified);
    case Outcome::withdrawn:
      return but(tried.verified, "the graph cannot be bent so far: the rest of the drive speaks against it");
    case Outcome::accepted:
      return acceptance(tried);
  }
  return "";
}

}  // namespace

LoopCandidate told(const Tried& tried, const Judgement& judgement) {
  LoopCandidate candidate = tried.verified.candidate;
  candidate.verdict = judgement.outcome == Outcome::accepted ? Verdict::accepted : Verdict::rejected;
  candidate.reason = reason_of(tried, judgement);
  return candidate;
}

std::vector<LoopCandidate> told_all(const Evidence& evidence, const std::vector<Judgement>& judgements) {
  std::vector<LoopCandidate> candidates;
  for (std::size_t i = 0; i < evidence.tried.size(); ++i) candidates.push_back(told(evidence.tried[i], judgements[i]));
  return candidates;
}

std::vector<std::string> hint_warnings(const std::vector<Hint>& hints, const Evidence& evidence,
                                       const std::vector<LoopCandidate>& candidates) {
  std::vector<std::string> warnings;
  for (std::size_t i = 0; i < evidence.tried.size(); ++i) {
    if (evidence.tried[i].origin != Origin::hint || candidates[i].verdict == Verdict::accepted) continue;
    const Hint& hint = hints[evidence.tried[i].which];
    warnings.push_back(
        sentence("hints.csv says that the robot was at the same place at %.1f and %.1f s, but the map was made "
                 "without it (%s): check both times",
                 hint.time_1_s, hint.time_2_s, candidates[i].reason.c_str()));
  }
  return warnings;
}

}  // namespace wainscot
