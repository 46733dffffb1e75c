#include "io/draw/palette.hpp"

#include <algorithm>
#include <iterator>
#include <stdexcept>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr Colour rgb(std::uint32_t value) {
  return {static_cast<std::uint8_t>(value >> 16U), static_cast<std::uint8_t>(value >> 8U & 0xFFU),
          static_cast<std::uint8_t>(value & 0xFFU)};
}

/// Lines, dots and things were found by a search (simulated annealing) for the largest least distance between two of
/// them, to normal, red-blind, green-blind and blue-blind eyes at once, colours of one kind counting most, within the
/// contrast that lines need on every ground. Levels grow darker on light ground and lighter on dark.
constexpr auto palette_colours = std::to_array<NamedColour>({
    {"page", ColourKind::ground, rgb(0xf6f6f3), rgb(0x131817)},
    {"card", ColourKind::ground, rgb(0xffffff), rgb(0x1b2220)},
    {"floor", ColourKind::ground, rgb(0xffffff), rgb(0x000000)},
    {"seen", ColourKind::ground, rgb(0xf1f3ee), rgb(0x000000)},  // a plan's floor, on a card
    {"unseen", ColourKind::ground, rgb(0xe4e6e2), rgb(0x2b3331)},
    {"control", ColourKind::ground, rgb(0xeef0ec), rgb(0x27302d)},
    {"line", ColourKind::ground, rgb(0xd3d7d1), rgb(0x3a4541)},  // rules of tables and plots
    {"warn-back", ColourKind::ground, rgb(0xfdf1dc), rgb(0x33291a)},
    {"ink", ColourKind::letters, rgb(0x1e2725), rgb(0xe4e9e6)},
    {"soft", ColourKind::letters, rgb(0x53605c), rgb(0xa7b3ae)},
    {"wall", ColourKind::letters, rgb(0x000000), rgb(0xffffff)},
    {"warn", ColourKind::letters, rgb(0x8a4b00), rgb(0xf2b861)},
    {"good", ColourKind::letters, rgb(0x00694b), rgb(0x57d3ae)},
    {"path", ColourKind::line, rgb(0x0748d2), rgb(0xa5dafe)},      // found, of the first drive
    {"path-2", ColourKind::line, rgb(0x8c278a), rgb(0xef74ff)},    // of the second
    {"path-3", ColourKind::line, rgb(0x156668), rgb(0x3fb59d)},    // of the third
    {"odometry", ColourKind::line, rgb(0xd9541b), rgb(0xc95d01)},  // alone; dashed
    {"truth", ColourKind::line, rgb(0x9b054f), rgb(0xf3126d)},     // the true path
    {"closure", ColourKind::line, rgb(0x484f13), rgb(0xadad5a)},   // accepted; a rejected one is dashed in "soft"
    {"scan", ColourKind::dot, rgb(0x608a50), rgb(0x24fa8a)},       // what the lidar saw at one time
    {"ellipse", ColourKind::dot, rgb(0x3d1f4a), rgb(0x8272bb)},    // of 95 %
    {"passing", ColourKind::dot, rgb(0x48839f), rgb(0x59909c)},    // people and other things that passed
    {"door", ColourKind::thing, rgb(0x805e2a), rgb(0x9f8a34)},     // and things that were moved during a drive
    {"new", ColourKind::thing, rgb(0x1c9506), rgb(0x50e42d)},      // there in the later map or drive only
    {"gone", ColourKind::thing, rgb(0x923741), rgb(0xee7b7e)},     // there in the earlier one only
    {"sure-1", ColourKind::level, rgb(0xc6defc), rgb(0x153a7a)},
    {"sure-2", ColourKind::level, rgb(0xefc450), rgb(0x6f5c0c)},
    {"sure-3", ColourKind::level, rgb(0xe0813f), rgb(0xd07c30)},
    {"sure-4", ColourKind::level, rgb(0x9c366e), rgb(0xffb8d2)},
});

constexpr std::array<std::string_view, 3> drive_colours = {"path", "path-2", "path-3"};

std::string properties(Colour NamedColour::*colour) {
  std::string css;
  for (const NamedColour& named : palette_colours) {
    fmt::format_to(std::back_inserter(css), "--{}:{};", named.name, colour_text(named.*colour));
  }
  return css;
}

}  // namespace

std::span<const NamedColour> palette() { return palette_colours; }

const NamedColour& named_colour(std::string_view name) {
  const auto* const found = std::find_if(palette_colours.begin(), palette_colours.end(),
                                         [name](const NamedColour& named) { return named.name == name; });
  if (found == palette_colours.end()) throw std::logic_error(fmt::format("the palette has no colour {}", name));
  return *found;
}

std::string colour_text(const Colour& colour) {
  return fmt::format("#{:02x}{:02x}{:02x}", colour.red, colour.green, colour.blue);
}

std::string_view colour_of_drive(std::size_t drive) { return drive_colours[(drive - 1) % drive_colours.size()]; }

std::string palette_css() {
  return fmt::format(
      ":root{{--odometry-dash:{} {};{}}}\n@media screen and (prefers-color-scheme: dark){{:root{{{}}}}}\n",
      short_text(odometry_dash_px[0], 2), short_text(odometry_dash_px[1], 2), properties(&NamedColour::on_light),
      properties(&NamedColour::on_dark));
}

std::string with_plain_colours(std::string_view css) {
  constexpr std::string_view opening = "var(--";
  std::string plain;
  for (std::size_t at = css.find(opening); at != std::string_view::npos; at = css.find(opening)) {
    plain += css.substr(0, at);
    css.remove_prefix(at + opening.size());
    const std::size_t end = std::min(css.find(')'), css.size());
    plain += colour_text(named_colour(css.substr(0, end)).on_light);
    css.remove_prefix(std::min(end + 1, css.size()));
  }
  return plain + std::string(css);
}

}  // namespace wainscot
