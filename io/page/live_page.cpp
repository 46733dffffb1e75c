#include "io/page/live_page.hpp"

#include <algorithm>
#include <cstdint>
#include <string_view>
#include <utility>

#include <nlohmann/json.hpp>

#include "io/draw/map_picture.hpp"
#include "io/map_origin.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/packed_numbers.hpp"
#include "io/page/files.hpp"
#include "io/page/filled_form.hpp"
#include "io/page/page_frame.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

std::string dumped(const Json& json) { return json.dump(-1, ' ', true, Json::error_handler_t::replace); }

constexpr int kMillimetres = 3;  // decimals of a metre: a picture shows no more

Json place_json(const Eigen::Vector2d& at) { return {rounded(at.x(), kMillimetres), rounded(at.y(), kMillimetres)}; }

Json line_json(const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
  return {rounded(from.x(), kMillimetres), rounded(from.y(), kMillimetres), rounded(to.x(), kMillimetres),
          rounded(to.y(), kMillimetres)};
}

/// A place each 5 cm of way: a picture of a house shows no more.
template <typename Row, typename PoseOf>
Json way_json(const std::vector<Row>& rows, const PoseOf& pose_of) {
  constexpr double kStepM = 0.05;
  Json json = Json::array();
  Eigen::Vector2d last = Eigen::Vector2d::Zero();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Eigen::Vector2d at = pose_of(rows[i]).translation();
    if (i > 0 && i + 1 < rows.size() && (at - last).norm() < kStepM) continue;
    json.push_back(place_json(at));
    last = at;
  }
  return json;
}

}  // namespace

std::string live_page(const LivePage& page) {
  PageParts parts;
  parts.title = "The map while it grows: " + page.drive;
  parts.body =
      filled_form(live_html(), {{"@NAME@", html_text(page.drive)},
                                {"@OUT@", html_text(page.out)},
                                {"@MARK@", page.simulated ? "<p><span class=\"mark\">simulated drive</span></p>" : ""},
                                {"@CAUTION@", html_text(map_caution)},
                                {"@VERSION@", html_text(page.program_version)}});
  parts.style = live_css();
  parts.script = live_js();
  parts.data = dumped({{"key", page.key}});
  parts.asks_server = true;
  return framed_page(parts);
}

LiveMapPicture live_map_picture(const OccupancyGrid& grid) {
  // A screen shows no more, and a page has to take it in with each map.
  constexpr std::int32_t kMostPixels = 1500;
  const GridFrame& frame = grid.frame;
  const std::int32_t cells = std::max(frame.columns, frame.rows) / kMostPixels + 1;
  const auto side_m = [&](std::int32_t count) { return (count + cells - 1) / cells * cells * frame.cell_size_m; };
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  LiveMapPicture picture;
  picture.left_m = corner.x();
  picture.top_m = corner.y() + frame.rows * frame.cell_size_m;
  picture.width_m = side_m(frame.columns);
  picture.height_m = side_m(frame.rows);
  picture.png = base64(grid_png(grid, cells));
  picture.edges = open_edges(grid);
  return picture;
}

std::string live_map_json(const LiveMapNews& news) {
  const Map& map = *news.map;
  const LiveMapPicture& picture = *news.picture;
  Json json{{"grid",
             {{"left", picture.left_m},
              {"top", picture.top_m},
              {"width", picture.width_m},
              {"height", picture.height_m},
              {"png", picture.png}}},
            {"path", way_json(map.trajectory, [](const TrajectoryRow& row) { return row.pose; })},
            {"tail", way_json(news.tail, [](const Pose2& pose) { return pose; })},
            {"closures", Json::array()},
            {"edges", Json::array()},
            {"verdict", news.verdict},
            {"way_m", map.quality.path_length_m},
            {"since_loop_m", news.since_loop_m}};
  for (const LoopCandidate& loop : map.candidates) {
    if (loop.verdict != Verdict::accepted) continue;
    json["closures"].push_back(
        line_json(map.graph.nodes[loop.from].pose.translation(), map.graph.nodes[loop.to].pose.translation()));
  }
  for (const OpenEdge& edge : picture.edges) json["edges"].push_back(line_json(edge.from_m, edge.to_m));
  return dumped(json);
}

std::string live_here_json(const LiveHereNews& news) {
  Json json{{"time_s", news.time_s},
            {"pose",
             {rounded(news.pose.x_m, kMillimetres), rounded(news.pose.y_m, kMillimetres),
              rounded(news.pose.heading_rad, kMillimetres)}},
            {"sure", news.sure},
            {"speed_m_s", news.speed_m_s},
            {"turn_rad_s", news.turn_rad_s},
            {"seen", Json::array()}};
  for (const Eigen::Vector2d& point : news.seen_m) json["seen"].push_back(place_json(point));
  return dumped(json);
}

std::string live_moment_json(const LiveMomentNews& news) {
  return dumped({{"state", news.state}, {"warnings", news.warnings}, {"log", news.log}});
}

std::string live_end_json(const std::string& words) { return dumped({{"words", words}}); }

}  // namespace wainscot
