#pragma once

// The command line of one job of a batch, and whether it is one.

#include <array>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>

#include "apps/batch/batch_folder.hpp"

namespace wainscot {

/// The commands that a batch can do.
inline constexpr std::array<std::string_view, 5> kBatchCommands = {"build", "calibrate", "check", "compare", "extend"};

/// Whether its jobs make a map each, in the folder `map` of their own.
bool makes_map(const BatchCommand& command);

/// The words behind the program's name, for a job that runs in its own folder. `again`: the job was done before there,
/// and what it made then is replaced.
std::vector<std::string> job_words(const BatchCommand& command, const BatchJob& job, bool again);

/// Command lines as the program would take them, without doing anything.
class JobWords {
 public:
  /// Of a command with the words behind `--`: those that name what is read are made absolute, as jobs run elsewhere.
  /// Throws `InputError` where a batch cannot do that.
  explicit JobWords(BatchCommand command);
  const BatchCommand& command() const { return command_; }
  /// What is wrong with a job's command line, in one sentence; empty: nothing.
  std::string fault_of(const BatchJob& job);
  /// An option of the command by its name without dashes; null: there is none.
  const CLI::Option* option(const std::string& name) const;

 private:
  std::unique_ptr<CLI::App> program_;
  CLI::App* app_ = nullptr;
  BatchCommand command_;
};

}  // namespace wainscot
