#include "graph/check/gyro_diagnosis.hpp"

#include <gtest/gtest.h>

#include "core/angles.hpp"

namespace wainscot {
namespace {

TEST(GyroDiagnosis, AGyroThatIsALittleOffIsNoFault) {
  for (const double factor : {1.0, 0.9, 1.3, -1.0}) {
    EXPECT_TRUE(gyro_diagnosis({factor, 0.01, 50}, {}).findings.empty()) << factor;
  }
}

TEST(GyroDiagnosis, DegreesASecondEitherWay) {
  const Diagnosis found = gyro_diagnosis({-1.05 * kDegree, 1e-4, 50}, {});
  ASSERT_EQ(found.findings.size(), 1U);
  EXPECT_EQ(found.findings[0].fault, Fault::gyro_unit);
  EXPECT_EQ(found.findings[0].what, "the gyro's rates are in degrees a second");
  EXPECT_EQ(found.findings[0].lines, std::vector<std::string>{"gyro.scale: 0.0174533"});
  EXPECT_EQ(found.findings[0].confidence, 0.9999);
  Robot degrees;
  degrees.gyro.scale = kDegree;
  const Diagnosis back = gyro_diagnosis({kDegreesPerRadian, 0.5, 50}, degrees);
  ASSERT_EQ(back.findings.size(), 1U);
  EXPECT_EQ(back.mended.gyro.scale, 1.0);
}

TEST(GyroDiagnosis, AUnitWithoutANameIsScaledAsFound) {
  const Diagnosis found = gyro_diagnosis({1.33e-4, 1e-6, 50}, {});
  ASSERT_EQ(found.findings.size(), 1U);
  EXPECT_EQ(found.findings[0].what, "the gyro's rates are in a unit of its own");
  EXPECT_EQ(found.mended.gyro.scale, 1.33e-4);
}

}  // namespace
}  // namespace wainscot
