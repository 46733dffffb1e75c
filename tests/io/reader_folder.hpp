#pragma once

// A folder with a small drive, written by the tests of the readers.

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>

namespace wainscot {

/// An empty folder that vanishes with its owner.
class ReaderFolder {
 public:
  ReaderFolder() {
    // In memory where there is such a place: some tests write thousands of files.
    const std::filesystem::path memory = "/dev/shm";
    const bool usable = std::filesystem::is_directory(memory);
    std::string form = ((usable ? memory : std::filesystem::temp_directory_path()) / "wainscot_reader_XXXXXX").string();
    if (mkdtemp(form.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = form;
  }
  ~ReaderFolder() { std::filesystem::remove_all(path_); }
  ReaderFolder(const ReaderFolder&) = delete;
  ReaderFolder& operator=(const ReaderFolder&) = delete;

  const std::filesystem::path& path() const { return path_; }

  std::filesystem::path write(const std::string& name, const std::string& text) const {
    std::ofstream(path_ / name, std::ios::binary) << text;
    return path_ / name;
  }

  void remove(const std::string& name) const { std::filesystem::remove(path_ / name); }

  /// The smallest drive of the common form: one second, three scans of four beams.
  void write_drive() const {
    write("robot.yaml",
          "wainscot_robot: 1\n"
          "drive:\n"
          "  left_m_per_tick: 8.5e-5\n"
          "  right_m_per_tick: 8.5e-5\n"
          "  track_width_m: 0.31\n"
          "lidar:\n"
          "  sweep_s: 0.2\n");
    write("wheels.csv",
          "time_s,left_ticks,right_ticks\n"
          "10.0,1000,-5\n"
          "10.5,1100,95\n"
          "11.0,1200,205\n");
    write("scans.csv",
          "time_s,0,90,180,270\n"
          "10.1,1.5,2.5,,0.5\n"
          "10.3,1.5,nan,3.5,0.05\n"
          "10.5,0,inf,8.5,4.5\n");
  }

 private:
  std::filesystem::path path_;
};

}  // namespace wainscot
