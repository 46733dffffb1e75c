// The controller's part for wainscot's loggers: counts both wheels' encoders and prints 50 times a second a line
//     W 1234 -567
// (left, right, since power-up) to the computer that runs logger.py or logger.c. For boards with an ATmega328 (Uno,
// Nano); on others choose pins that attachInterrupt() takes. An encoder has two channels, A and B, a quarter of a step
// apart.
//
// CAUTION. First with the wheels lifted turn them by hand: rolling forward, both numbers must grow; where one falls,
// set its sign below to -1. Check the stop switch likewise; then drive slowly, stop at hand, people and pets away, and
// let no motor stall against a wall. A map is never the only thing that keeps a robot from falling or from hitting
// someone. Heed the battery maker's and the laser's (IEC 60825-1) instructions; local codes and qualified practice come
// first.

const unsigned long kBitsPerSecond = 115200;  // as SPEED of the logger
const unsigned long kPeriodMs = 20;

const int kLeftA = 2;  // 2 and 3 are the pins with an interrupt
const int kLeftB = 4;
const int kRightA = 3;
const int kRightB = 5;
const int kLeftSign = 1;
const int kRightSign = 1;

volatile long leftTicks = 0;  // 32 bits, as counter_bits of robot.yaml says
volatile long rightTicks = 0;
unsigned long lastLineMs = 0;

// At each edge of A the wheel has rolled one count: forward where A and B differ. Short, for the next edge is near.
int rolled(int a, int b, int sign) { return digitalRead(a) != digitalRead(b) ? sign : -sign; }
void countLeft() { leftTicks = leftTicks + rolled(kLeftA, kLeftB, kLeftSign); }
void countRight() { rightTicks = rightTicks + rolled(kRightA, kRightB, kRightSign); }

void setup() {
  Serial.begin(kBitsPerSecond);
  pinMode(kLeftA, INPUT_PULLUP);
  pinMode(kLeftB, INPUT_PULLUP);
  pinMode(kRightA, INPUT_PULLUP);
  pinMode(kRightB, INPUT_PULLUP);
  attachInterrupt(digitalPinToInterrupt(kLeftA), countLeft, CHANGE);
  attachInterrupt(digitalPinToInterrupt(kRightA), countRight, CHANGE);
}

void loop() {
  // Your own code that drives the motors may stand here, as long as it never waits.
  const unsigned long nowMs = millis();
  if (nowMs - lastLineMs < kPeriodMs) return;
  lastLineMs = nowMs;
  noInterrupts();  // a long is four bytes: no edge may come while they are copied
  const long left = leftTicks;
  const long right = rightTicks;
  interrupts();
  Serial.print("W ");
  Serial.print(left);
  Serial.print(' ');
  Serial.println(right);
}
