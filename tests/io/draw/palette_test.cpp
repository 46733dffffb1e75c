#include "io/draw/palette.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <stdexcept>
#include <string>

#include <gtest/gtest.h>
#include <Eigen/Core>

namespace wainscot {
namespace {

/// Red, green and blue in proportion to the light, 0 to 1. Source: IEC 61966-2-1:1999 (sRGB).
Eigen::Vector3d light_of(const Colour& colour) {
  const auto linear = [](std::uint8_t level) {
    const double value = level / 255.0;
    return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
  };
  return {linear(colour.red), linear(colour.green), linear(colour.blue)};
}

/// The same, with the primaries of IEC 61966-2-1:1999 to CIE XYZ, white D65.
Eigen::Matrix3d to_xyz() {
  Eigen::Matrix3d m;
  m << 0.4124564, 0.3575761, 0.1804375, 0.2126729, 0.7151522, 0.0721750, 0.0193339, 0.1191920, 0.9503041;
  return m;
}

/// CIE 1976 L*a*b* (CIE 15:2004).
Eigen::Vector3d lab_of(const Eigen::Vector3d& light) {
  const Eigen::Vector3d white = to_xyz() * Eigen::Vector3d::Ones();
  const Eigen::Vector3d f = (to_xyz() * light).cwiseQuotient(white).unaryExpr([](double t) {
    return t > 216.0 / 24389.0 ? std::cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
  });
  return {116.0 * f.y() - 16.0, 500.0 * (f.x() - f.y()), 200.0 * (f.y() - f.z())};
}

/// W3C, Web Content Accessibility Guidelines 2.1, "contrast ratio".
double contrast(const Colour& a, const Colour& b) {
  const Eigen::Vector3d share(0.2126, 0.7152, 0.0722);  // of the luminance, as the guidelines round it
  const double one = share.dot(light_of(a)) + 0.05;
  const double other = share.dot(light_of(b)) + 0.05;
  return std::max(one, other) / std::min(one, other);
}

/// How normal eyes, and those without red, green or blue cones, see light. Source: G. M. Machado, M. M. Oliveira,
/// L. A. F. Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE Transactions on
/// Visualization and Computer Graphics 15(6), 2009, severity 1.0.
std::array<Eigen::Matrix3d, 4> eyes() {
  std::array<Eigen::Matrix3d, 4> all;
  all[0].setIdentity();
  all[1] << 0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998;
  all[2] << 0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881;
  all[3] << 1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900;
  return all;
}

/// How far apart two colours are to the eyes that tell them apart worst.
double least_distance(const Colour& a, const Colour& b) {
  double least = 1e300;
  for (const Eigen::Matrix3d& eye : eyes()) {
    const auto seen = [&eye](const Colour& colour) {
      return lab_of((eye * light_of(colour)).cwiseMax(0.0).cwiseMin(1.0));
    };
    least = std::min(least, (seen(a) - seen(b)).norm());
  }
  return least;
}

bool is_drawn(const NamedColour& c) {
  return c.kind == ColourKind::line || c.kind == ColourKind::dot || c.kind == ColourKind::thing;
}

// The measures themselves, by hand: white is 100 light, red and green of equal light are alike to eyes without red or
// green cones, and black on white has the greatest contrast that there is.
TEST(Palette, TheMeasuresMeasure) {
  const Colour white{255, 255, 255};
  const Colour black{};
  EXPECT_NEAR(lab_of(light_of(white)).x(), 100.0, 1e-6);
  EXPECT_NEAR(contrast(white, black), 21.0, 1e-6);
  EXPECT_NEAR(least_distance(white, black), 100.0, 0.1);
  EXPECT_LT(least_distance({200, 60, 60}, {110, 105, 55}), 12.0);
}

// About 2.3 is what can just be told apart side by side (M. Mahy, L. Van Eycken, A. Oosterlinck, "Evaluation of uniform
// color spaces", 1994); lines are thin and lie apart, so seven times that is asked of those that only their colour
// tells apart, and a little less than half of it of those that differ in form as well. The palette was searched with
// the same measure: this holds it there.
TEST(Palette, EveryTwoColoursThatMeetCanBeToldApart) {
  constexpr double kByColourAlone = 16.0;
  constexpr double kByFormToo = 8.0;
  for (Colour NamedColour::*ground : {&NamedColour::on_light, &NamedColour::on_dark}) {
    for (const NamedColour& a : palette()) {
      if (!is_drawn(a)) continue;
      EXPECT_GT(least_distance(a.*ground, named_colour("ink").*ground), kByColourAlone) << a.name;
      for (const NamedColour& b : palette()) {
        if (!is_drawn(b) || &a == &b) continue;
        EXPECT_GT(least_distance(a.*ground, b.*ground), a.kind == b.kind ? kByColourAlone : kByFormToo)
            << a.name << " and " << b.name << (ground == &NamedColour::on_dark ? ", dark" : ", light");
      }
    }
  }
}

// A scan's dots lie on walls.
TEST(Palette, AScanStandsOutFromTheWallsUnderIt) {
  constexpr double kOnTopOfIt = 30.0;
  EXPECT_GT(least_distance(named_colour("scan").on_light, named_colour("wall").on_light), kOnTopOfIt);
  EXPECT_GT(least_distance(named_colour("scan").on_dark, named_colour("wall").on_dark), kOnTopOfIt / 2.0);
}

TEST(Palette, LinesStandOutFromEveryGround) {
  for (Colour NamedColour::*ground : {&NamedColour::on_light, &NamedColour::on_dark}) {
    for (const NamedColour& a : palette()) {
      for (const char* below : {"card", "floor", "seen", "unseen"}) {
        if (!is_drawn(a)) continue;
        EXPECT_GE(contrast(a.*ground, named_colour(below).*ground), 3.0) << a.name << " on " << below;
      }
      for (const char* below : {"page", "card"}) {
        if (a.kind != ColourKind::letters) continue;
        EXPECT_GE(contrast(a.*ground, named_colour(below).*ground), 4.5) << a.name << " on " << below;
      }
    }
    EXPECT_GE(contrast(named_colour("ink").*ground, named_colour("warn-back").*ground), 4.5);
  }
}

// From sure to unsure the light goes one way, so that the order can be seen without any colour.
TEST(Palette, LevelsAreInOrderAndDistinct) {
  for (Colour NamedColour::*ground : {&NamedColour::on_light, &NamedColour::on_dark}) {
    const NamedColour* before = nullptr;
    for (const NamedColour& level : palette()) {
      if (level.kind != ColourKind::level) continue;
      EXPECT_GT(least_distance(level.*ground, named_colour("floor").*ground), 10.0) << level.name;
      if (before != nullptr) {
        EXPECT_GT(least_distance(level.*ground, before->*ground), 14.0) << level.name;
        for (const Eigen::Matrix3d& eye : eyes()) {
          const double change = lab_of(eye * light_of(level.*ground)).x() - lab_of(eye * light_of(before->*ground)).x();
          EXPECT_GT(ground == &NamedColour::on_dark ? change : -change, 0.0) << level.name;
        }
      }
      before = &level;
    }
  }
}

TEST(Palette, NamesAreUniqueAndUnknownOnesAreRefused) {
  std::set<std::string_view> names;
  for (const NamedColour& named : palette()) EXPECT_TRUE(names.insert(named.name).second) << named.name;
  EXPECT_THROW(named_colour("mauve"), std::logic_error);
  EXPECT_EQ(colour_of_drive(1), "path");
  EXPECT_NE(colour_of_drive(2), colour_of_drive(3));
  EXPECT_EQ(colour_of_drive(4), "path");
}

TEST(Palette, AStyleSheetForFilesHasPlainColours) {
  EXPECT_EQ(with_plain_colours(".a{fill:var(--card);stroke:var(--wall)}"), ".a{fill:#ffffff;stroke:#000000}");
  EXPECT_EQ(with_plain_colours(".a{}"), ".a{}");
  EXPECT_THROW(with_plain_colours("var(--mauve)"), std::logic_error);
  EXPECT_EQ(colour_text({1, 171, 255}), "#01abff");
}

// On paper a page is light whatever the screen is.
TEST(Palette, APageIsDarkOnScreensOnly) {
  const std::string css = palette_css();
  EXPECT_EQ(css.rfind(":root{--odometry-dash:6 5;--page:#f6f6f3;", 0), 0U) << css;
  EXPECT_NE(css.find("@media screen and (prefers-color-scheme: dark){:root{--page:#131817;"), std::string::npos);
}

std::string text_of(const std::filesystem::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return text.str();
}

// Pictures and pages take every colour from the palette, and none that it does not have.
TEST(Palette, NoOtherFileHasColoursOfItsOwn) {
  const std::filesystem::path checkout = WAINSCOT_CHECKOUT;
  const std::regex own("#[0-9a-fA-F]{3}([0-9a-fA-F]{3})?\\b");
  const std::regex taken("var\\(--([a-z0-9-]+)\\)");
  const std::set<std::string> other = {"odometry-dash", "width"};
  std::size_t used = 0;
  for (const char* folder : {"io/draw", "io/page"}) {
    for (const auto& entry : std::filesystem::directory_iterator(checkout / folder)) {
      if (entry.path().stem() == "palette" || !entry.is_regular_file()) continue;
      const std::string text = text_of(entry.path());
      std::smatch found;
      EXPECT_FALSE(std::regex_search(text, found, own)) << entry.path() << ": " << found.str();
      for (auto at = std::sregex_iterator(text.begin(), text.end(), taken); at != std::sregex_iterator();
           ++at, ++used) {
        if (other.count(at->str(1)) > 0) continue;
        EXPECT_NO_THROW(named_colour(at->str(1))) << entry.path();
      }
    }
  }
  EXPECT_GT(used, 50U);
}

}  // namespace
}  // namespace wainscot
