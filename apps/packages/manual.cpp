// Writes the man pages and the completions for bash and zsh, which are made of the commands' own words, into a folder:
//   manual FOLDER
// The build runs it; it is not handed on.

#include <exception>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <stdexcept>
#include <string>

#include "apps/command_line.hpp"
#include "apps/packages/bash_completion.hpp"
#include "apps/packages/man_page.hpp"
#include "apps/packages/zsh_completion.hpp"

namespace {

void write(const std::filesystem::path& file, const std::string& text) {
  std::filesystem::create_directories(file.parent_path());
  std::ofstream out(file, std::ios::binary);
  if (!out.write(text.data(), static_cast<std::streamsize>(text.size())).flush()) {
    throw std::runtime_error(file.string() + ": cannot be written");
  }
}

}  // namespace

int main(int argc, char** argv) {
  try {
    if (argc != 2) throw std::runtime_error("name one folder");
    const std::filesystem::path folder = argv[1];
    const wainscot::CommandWords program = wainscot::command_words(*wainscot::command_line());
    const wainscot::Release release{WAINSCOT_VERSION, WAINSCOT_RELEASED};
    write(folder / "man" / wainscot::man_page_name(program), wainscot::man_page(program, release));
    for (const wainscot::CommandWords& command : program.commands) {
      write(folder / "man" / wainscot::man_page_name(command), wainscot::man_page(command, release));
    }
    write(folder / "bash" / "wainscot", wainscot::bash_completion(program));
    write(folder / "zsh" / "_wainscot", wainscot::zsh_completion(program));
    return 0;
  } catch (const std::exception& error) {
    std::cerr << "manual: " << error.what() << '\n';
    return 1;
  }
}
