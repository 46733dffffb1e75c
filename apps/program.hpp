#pragma once

// A command line from its words to the process's status: the commands, and what becomes of their errors.

namespace wainscot {

/// Runs the command that the `count` words behind the program's name tell. Gives the status: 0 when all is well, 1
/// where the data cannot give what was asked, 2 where the input is wrong, 128 + signal; or ends the process where it is
/// short of memory. Errors are told on standard error.
int run_program(int count, const char* const* words);

}  // namespace wainscot
