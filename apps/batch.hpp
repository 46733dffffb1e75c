#pragma once

namespace CLI {
class App;
}

namespace wainscot {

/// Adds the command `batch` to the program. Its callback throws `InputError`, and `PoorData` where a drive failed.
void add_batch(CLI::App& app);

}  // namespace wainscot
