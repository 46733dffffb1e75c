#include "io/draw/wall_plan_dxf.hpp"

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstddef>
#include <memory>
#include <stdexcept>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <sys/mman.h>
#include <unistd.h>

#include <dxflib/dl_dxf.h>
#include <fmt/format.h>

#include "io/map_origin.hpp"

namespace wainscot {
namespace {

/// A file in memory: dxflib writes to a named file only.
class MemoryFile {
 public:
  MemoryFile() : descriptor_(::memfd_create("wall_plan", MFD_CLOEXEC)) {
    if (descriptor_ < 0) throw std::system_error(errno, std::generic_category());
  }
  ~MemoryFile() { ::close(descriptor_); }
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;

  std::string name() const { return fmt::format("/proc/self/fd/{}", descriptor_); }
  std::string bytes() const {
    std::string all(static_cast<std::size_t>(::lseek(descriptor_, 0, SEEK_END)), '\0');
    std::size_t got = 0;
    while (got < all.size()) {
      const ssize_t now = ::pread(descriptor_, all.data() + got, all.size() - got, static_cast<off_t>(got));
      if (now <= 0) throw std::runtime_error("a file in memory cannot be read back");
      got += static_cast<std::size_t>(now);
    }
    return all;
  }

 private:
  int descriptor_;
};

// dxflib knows the style that dimensions refer to by this name only. With any other, that reference is left as it was
// in memory, and differs from run to run.
constexpr const char* text_style = "Standard";

DL_Attributes on_layer(const char* name) { return {name, DL_Codes::bylayer, -1, -1, "BYLAYER"}; }

/// To a tenth of a millimetre.
double rounded_m(double value_m) { return std::round(1e4 * value_m) / 1e4; }

void write_header(DL_Dxf& dxf, DL_WriterA& file) {
  constexpr int metres = 6;
  dxf.writeHeader(file);
  file.dxfString(9, "$INSUNITS");
  file.dxfInt(70, metres);
  file.sectionEnd();
}

/// The tables that the form wants, in its order.
void write_tables(DL_Dxf& dxf, DL_WriterA& file) {
  file.sectionTables();
  dxf.writeVPort(file);
  file.tableLinetypes(3);
  for (const char* name : {"BYBLOCK", "BYLAYER", "CONTINUOUS"}) {
    dxf.writeLinetype(file, DL_LinetypeData(name, name, 0, 0, 0.0));
  }
  file.tableEnd();
  const std::vector<std::pair<const char*, int>> layers = {{"0", DL_Codes::white},
                                                           {"walls", DL_Codes::white},
                                                           {"path", DL_Codes::blue},
                                                           {"axes", DL_Codes::gray},
                                                           {"notes", DL_Codes::gray}};
  file.tableLayers(static_cast<int>(layers.size()));
  for (const auto& [name, colour] : layers) {
    dxf.writeLayer(file, DL_LayerData(name, 0), DL_Attributes(name, colour, -1, 25, "CONTINUOUS"));
  }
  file.tableEnd();
  file.tableStyle(1);
  dxf.writeStyle(file, DL_StyleData(text_style, 0, 0.0, 1.0, 0.0, 0, 0.2, "txt", ""));
  file.tableEnd();
  dxf.writeView(file);
  dxf.writeUcs(file);
  file.tableAppid(1);
  dxf.writeAppid(file, "ACAD");
  file.tableEnd();
  dxf.writeDimStyle(file, 0.2, 0.1, 0.1, 0.1, 0.2);
  dxf.writeBlockRecord(file);
  file.tableEnd();
  file.sectionEnd();
}

void write_blocks(DL_Dxf& dxf, DL_WriterA& file) {
  file.sectionBlocks();
  for (const char* name : {"*Model_Space", "*Paper_Space", "*Paper_Space0"}) {
    dxf.writeBlock(file, DL_BlockData(name, 0, 0.0, 0.0, 0.0));
    dxf.writeEndBlock(file, name);
  }
  file.sectionEnd();
}

void write_line(DL_Dxf& dxf, DL_WriterA& file, const char* layer, const Eigen::Vector2d& from,
                const Eigen::Vector2d& to) {
  dxf.writeLine(file,
                DL_LineData(rounded_m(from.x()), rounded_m(from.y()), 0.0, rounded_m(to.x()), rounded_m(to.y()), 0.0),
                on_layer(layer));
}

void write_text(DL_Dxf& dxf, DL_WriterA& file, const Eigen::Vector2d& place, const std::string& words) {
  constexpr double height_m = 0.15;
  const double x = rounded_m(place.x());
  const double y = rounded_m(place.y());
  dxf.writeText(file, DL_TextData(x, y, 0.0, x, y, 0.0, height_m, 1.0, 0, 0, 0, words, text_style, 0.0),
                on_layer("notes"));
}

void write_path(DL_Dxf& dxf, DL_WriterA& file, const std::vector<Pose2>& path) {
  const std::vector<Eigen::Vector2d> places = thinned_path(path);
  if (places.size() < 2) return;
  constexpr int is_open = 0;
  dxf.writePolyline(file, DL_PolylineData(static_cast<int>(places.size()), 0, 0, is_open), on_layer("path"));
  for (const Eigen::Vector2d& place : places) {
    dxf.writeVertex(file, DL_VertexData(rounded_m(place.x()), rounded_m(place.y()), 0.0));
  }
  dxf.writePolylineEnd(file);
}

void write_entities(DL_Dxf& dxf, DL_WriterA& file, const WallPlan& plan) {
  file.sectionEntities();
  double lowest_m = 0.0;
  double leftmost_m = 0.0;
  for (const WallLine& wall : plan.walls) {
    write_line(dxf, file, "walls", wall.from_m, wall.to_m);
    lowest_m = std::min({lowest_m, wall.from_m.y(), wall.to_m.y()});
    leftmost_m = std::min({leftmost_m, wall.from_m.x(), wall.to_m.x()});
  }
  for (const std::vector<Pose2>& path : plan.paths) write_path(dxf, file, path);
  constexpr double arm_m = 0.6;
  write_line(dxf, file, "axes", {0.0, 0.0}, {arm_m, 0.0});
  write_line(dxf, file, "axes", {0.0, 0.0}, {0.0, arm_m});
  write_text(dxf, file, {leftmost_m, lowest_m - 0.5},
             std::string(plan.simulated ? "Simulated. " : "") + "Units are metres of the map frame.");
  write_text(dxf, file, {leftmost_m, lowest_m - 0.8}, map_caution);
  file.sectionEnd();
}

}  // namespace

std::string wall_plan_dxf(const WallPlan& plan) {
  const MemoryFile memory;
  DL_Dxf dxf;
  const std::unique_ptr<DL_WriterA> file(dxf.out(memory.name().c_str(), DL_VERSION_2000));
  if (!file) throw std::system_error(errno, std::generic_category());
  write_header(dxf, *file);
  write_tables(dxf, *file);
  write_blocks(dxf, *file);
  write_entities(dxf, *file, plan);
  dxf.writeObjects(*file);
  dxf.writeObjectsEnd(*file);
  file->dxfEOF();
  file->close();
  return memory.bytes();
}

}  // namespace wainscot
