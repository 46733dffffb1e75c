#include "apps/timings.hpp"

#include <algorithm>
#include <iterator>

#include <sys/resource.h>

#include <fmt/format.h>

namespace wainscot {
namespace {

double seconds(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

double seconds_between(std::chrono::steady_clock::time_point from, std::chrono::steady_clock::time_point to) {
  return std::chrono::duration<double>(to - from).count();
}

rusage usage() {
  rusage all{};
  ::getrusage(RUSAGE_SELF, &all);
  return all;
}

}  // namespace

Timings::Timings() : start_(now()), stage_start_(start_) {}

Timings::Moment Timings::now() {
  const rusage all = usage();
  return {std::chrono::steady_clock::now(), seconds(all.ru_utime) + seconds(all.ru_stime)};
}

void Timings::end_stage() {
  const Moment end = now();
  if (!stage_.empty()) {
    auto entry = std::find_if(stages_.begin(), stages_.end(), [&](const Stage& stage) { return stage.name == stage_; });
    if (entry == stages_.end()) entry = stages_.insert(stages_.end(), {stage_});
    entry->wall_s += seconds_between(stage_start_.wall, end.wall);
    entry->cpu_s += end.cpu_s - stage_start_.cpu_s;
  }
  stage_start_ = end;
}

void Timings::begin(const std::string& stage) {
  end_stage();
  stage_ = stage;
}

double Timings::wall_s() const { return seconds_between(start_.wall, std::chrono::steady_clock::now()); }

double Timings::cpu_s() const { return now().cpu_s - start_.cpu_s; }

double Timings::peak_memory_mb() { return static_cast<double>(usage().ru_maxrss) * 1024.0 / 1e6; }  // Linux: kibibytes

std::string Timings::json() {
  begin("");
  std::string text =
      fmt::format("{{\n  \"wall_s\": {:.3f},\n  \"cpu_s\": {:.3f},\n  \"peak_memory_mb\": {:.1f},\n  \"stages\": [",
                  wall_s(), cpu_s(), peak_memory_mb());
  for (const Stage& stage : stages_) {
    fmt::format_to(std::back_inserter(text), "{}\n    {{\"name\": \"{}\", \"wall_s\": {:.3f}, \"cpu_s\": {:.3f}}}",
                   &stage == stages_.data() ? "" : ",", stage.name, stage.wall_s, stage.cpu_s);
  }
  return text + "\n  ]\n}\n";
}

}  // namespace wainscot
