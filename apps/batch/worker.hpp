#pragma once

// What the engines of a batch run: one drive, or a file of some, or the gathering at the end. These command lines are
// the program's own; people have `wainscot batch`.
//
//   wainscot batch-job FOLDER LINE     one drive, a line of BatchJob
//   wainscot batch-block FOLDER FILE   those of a file, one after the other
//   wainscot batch-gather FOLDER       writes results.csv

#include <string>
#include <vector>

namespace wainscot {

bool is_batch_worker(const std::vector<std::string>& words);

/// Status 0: all that was asked for is on record, or is being done by another worker; 1: something was killed and is
/// to be done again. Throws `InputError`.
int run_batch_worker(const std::vector<std::string>& words);

}  // namespace wainscot
