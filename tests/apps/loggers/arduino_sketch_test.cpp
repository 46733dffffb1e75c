// The controller's sketch on this machine, with pins, clock and serial line that the test moves. That the board's own
// compiler takes it is a test of its own (Loggers.ArduinoSketchCompiles).

#include <array>
#include <map>
#include <string>

#include <gtest/gtest.h>

namespace wainscot::sketch {

// What the board's core has under these names.
enum { INPUT_PULLUP, CHANGE };
std::array<int, 20> levels{};
std::map<int, void (*)()> at_edge;
unsigned long clock_ms = 0;
bool interrupts_on = true;

struct SerialPort {
  std::string sent;
  void begin(unsigned long /*bits_per_second*/) {}
  void print(const char* text) { sent += text; }
  void print(char letter) { sent += letter; }
  void print(long number) { sent += std::to_string(number); }
  void println(long number) { sent += std::to_string(number) + "\r\n"; }
} Serial;

int digitalRead(int pin) { return levels.at(static_cast<std::size_t>(pin)); }
void pinMode(int pin, int mode) { levels.at(static_cast<std::size_t>(pin)) = mode == INPUT_PULLUP ? 1 : 0; }
int digitalPinToInterrupt(int pin) { return pin - 2; }
void attachInterrupt(int number, void (*handler)(), int mode) {
  if (mode == CHANGE) at_edge[number] = handler;
}
unsigned long millis() { return clock_ms; }
void noInterrupts() { interrupts_on = false; }
void interrupts() { interrupts_on = true; }

#include "apps/loggers/logger.ino"

namespace {

void flip(int pin) {
  int& level = levels.at(static_cast<std::size_t>(pin));
  level = 1 - level;
  const auto handler = at_edge.find(pin - 2);
  if (handler != at_edge.end()) handler->second();
}

/// A whole step of an encoder, two edges of each channel: forward A changes first.
void step(int first, int second) {
  for (const int pin : {first, second, first, second}) flip(pin);
}

TEST(ArduinoSketch, CountsBothWaysAndPrintsALineEachFiftiethOfASecond) {
  setup();
  ASSERT_EQ(at_edge.size(), 2U);
  for (int i = 0; i < 3; ++i) step(kLeftA, kLeftB);
  step(kRightB, kRightA);
  clock_ms = 19;
  loop();
  EXPECT_EQ(Serial.sent, "");
  clock_ms = 20;
  loop();
  loop();
  EXPECT_EQ(Serial.sent, "W 6 -2\r\n");
  EXPECT_TRUE(interrupts_on);
  Serial.sent.clear();
  for (int i = 0; i < 4; ++i) step(kLeftB, kLeftA);
  clock_ms = 140;  // after a long wait one line, not six
  loop();
  loop();
  EXPECT_EQ(Serial.sent, "W -2 -2\r\n");
}

}  // namespace
}  // namespace wainscot::sketch
