#pragma once

namespace CLI {
class App;
}

namespace wainscot {

/// Adds the command `simulate` to the program. Its callback throws `InputError`.
void add_simulate(CLI::App& app);

}  // namespace wainscot
