#include "io/overview/overview_text.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/io/overview/sample_jobs.hpp"

namespace wainscot {
namespace {

TEST(OverviewText, TellsFailuresFirstThenVerdictsDifferencesAndFigures) {
  Overview overview;
  for (int i = 0; i < 12; ++i) {
    overview.rows.push_back(sample_row(fmt::format("d{}", i), i == 7 ? 0.31 : 0.288));
  }
  overview.rows[3].place_sd_m = 0.02;
  DriveRow failed;
  failed.name = "attic";
  failed.status = 2;
  failed.sentence = "no counts";
  overview.rows.push_back(failed);
  overview.fleet = fleet_of(overview.rows);
  EXPECT_EQ(overview_text(overview),
            "Simulated drives are among these: their figures say nothing of a real robot.\n"
            "No map:\n  attic (failed, status 2): no counts\n"
            "12 maps: 12 good; 1 drive failed.\n"
            "Drives that differ from their sisters:\n"
            "  d7: drive.track_width_m 0.3100 m (standard uncertainty 0.0010 m), its 11 sisters' 0.2880 m\n"
            "Standard uncertainties and errors:\n"
            "  a place, as stated:         median 3.0 mm, worst 20 mm (d3), of 12 drives\n"
            "  the scale, as stated:       median 0.10 %, worst 0.10 % (d0), of 12 drives\n"
            "  tapes, root mean square:    median 3.5 mm, worst 3.5 mm (d0), of 12 drives\n");
}

TEST(OverviewText, OfManyFailuresTenAreNamed) {
  Overview overview;
  DriveRow failed;
  failed.name = "attic";
  overview.rows.assign(1234, failed);
  overview.fleet = fleet_of(overview.rows);
  const std::string text = overview_text(overview);
  EXPECT_NE(text.find("  and 1,224 more: in the CSV\n0 maps; 1,234 drives failed.\n"), std::string::npos) << text;
}

TEST(OverviewText, CountsWhatThereIs) {
  EXPECT_EQ(counts_sentence({7, 2, 1, 1, 1, 2}),
            "11 maps: 7 good, 2 usable, 1 not to be used, 1 without a verdict; 1 drive failed; 2 maps damaged");
}

TEST(OverviewText, ChangesAreToldRobotByRobot) {
  Overview overview;
  for (int i = 0; i < 12; ++i) overview.rows.push_back(sample_row(fmt::format("d{}", i), i < 6 ? 0.288 : 0.3));
  overview.fleet = fleet_of(overview.rows);
  ASSERT_EQ(change_sentences(overview).size(), 1U);
  EXPECT_EQ(change_sentences(overview)[0].rfind("drive.track_width_m changes between d5 and d6", 0), 0U);
}

}  // namespace
}  // namespace wainscot
