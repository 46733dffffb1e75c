#pragma once

// Stand-ins for the engines' programs: a folder of scripts that comes first where programs are looked for.

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "tests/io/reader_folder.hpp"

namespace wainscot {

/// While one lives, its scripts are found before the system's programs.
class StandInPrograms {
 public:
  StandInPrograms() : path_before_(std::getenv("PATH")) {
    ::setenv("PATH", (folder_.path().string() + ":" + path_before_).c_str(), 1);
  }
  StandInPrograms(const StandInPrograms&) = delete;
  StandInPrograms& operator=(const StandInPrograms&) = delete;
  ~StandInPrograms() { ::setenv("PATH", path_before_.c_str(), 1); }

  void add(const std::string& name, const std::string& script) const {
    const std::filesystem::path file = folder_.write(name, "#!/bin/sh\n" + script + "\n");
    std::filesystem::permissions(file, std::filesystem::perms::owner_all);
  }
  const std::filesystem::path& path() const { return folder_.path(); }

 private:
  ReaderFolder folder_;
  std::string path_before_;
};

}  // namespace wainscot
