/* Records a drive for wainscot: wheel counts and lidar scans from serial lines go into a new folder.

     cc -std=c99 -O2 -o logger logger.c
     ./logger my-drive /dev/ttyACM0                # controller and lidar on one serial line
     ./logger my-drive /dev/ttyACM0 /dev/ttyUSB0   # or on several: each may send both kinds of lines

   Ctrl-C ends the drive; write the robot's constants into my-drive/robot.yaml then. A line is either of
     W 1234 -567        counts of the left and the right wheel since power-up, forward positive; about 50 times a second
     S 1503 1498 0 ...  one turn of the lidar: BEAMS ranges in millimetres, counter-clockwise, the first one straight
                        ahead, 0 where nothing answered; about 5 to 10 times a second

   CAUTION. Check the wheels' direction and the stop switch with the wheels lifted; then drive slowly, stop at hand,
   people and pets away, and let no motor stall against a wall. A 2D lidar sees one plane only (no stairs going down,
   table tops, glass, low things): nothing here keeps a robot from falling or from hitting someone. Heed the laser's
   class (IEC 60825-1) and the battery maker's instructions; local codes and qualified practice come first. */
#define _DEFAULT_SOURCE /* for speeds beyond 38400 */
#define _POSIX_C_SOURCE 200809L
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#define SPEED B115200
enum { BEAMS = 360, LONGEST_LINE = 20 * BEAMS + 100, MOST_PORTS = 8 };

static const char robot_yaml[] =
    "@ROBOT_YAML@";

struct port { /* a serial line; handle -1 while its plug is pulled */
  const char *path;
  int handle, said;
  char line[LONGEST_LINE + 1];
  size_t length;
  double since_s; /* when the line's first byte arrived */
};

static volatile sig_atomic_t stopping;
static char folder[4000];
static FILE *wheels, *scans;
static long rows, turns, skipped;

static void stop(int number) { stopping = number; }

static double now_s(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void fail(const char *what) {
  fprintf(stderr, "logger: %s: %s\n", what, strerror(errno));
  exit(1);
}

static void flush(void) {
  if (fflush(wheels) != 0 || fflush(scans) != 0) fail(folder);
}

static void tell(void) {
  fprintf(stderr, "logger: %s: %ld rows of counts, %ld scans, %ld lines skipped\n", folder, rows, turns, skipped);
}

static FILE *new_file(const char *name) {
  char path[sizeof folder + 20];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE *file = fopen(path, "w");
  if (file == NULL) fail(path);
  return file;
}

/* Makes the folder NAME, or NAME-2, NAME-3 ... where there is one already, and begins its files. */
static void begin_drive(const char *name) {
  snprintf(folder, sizeof folder, "%.3900s", name);
  for (int number = 2; mkdir(folder, 0777) != 0; ++number) {
    if (errno != EEXIST) fail(folder);
    snprintf(folder, sizeof folder, "%.3900s-%d", name, number);
  }
  FILE *robot = new_file("robot.yaml");
  fputs(robot_yaml, robot);
  if (fclose(robot) != 0) fail("robot.yaml");
  wheels = new_file("wheels.csv");
  fputs("time_s,left_ticks,right_ticks\n", wheels);
  scans = new_file("scans.csv");
  fputs("time_s", scans);
  for (int i = 0; i < BEAMS; ++i) fprintf(scans, ",%g", i * 360.0 / BEAMS);
  fputs("\n", scans);
}

/* The numbers of a line behind its first letter; -1: there is something else, or more than `most`. */
static int numbers_of(const char *text, long long *numbers, int most) {
  for (int count = 0;; ++count) {
    text += strspn(text, " \t\r");
    if (*text == '\0') return count;
    char *end;
    errno = 0;
    if (count == most) return -1;
    numbers[count] = strtoll(text, &end, 10);
    if (end == text || errno != 0 || strchr(" \t\r", *end) == NULL) return -1;
    text = end;
  }
}

/* Writes the row of a line whose first byte arrived at time_s, or counts it as skipped. */
static void take(const char *line, double time_s) {
  static long long numbers[BEAMS];
  const int count = line[0] != '\0' && line[1] == ' ' ? numbers_of(line + 1, numbers, BEAMS) : -1;
  int in_range = 1;
  for (int i = 0; i < count; ++i) in_range = in_range && numbers[i] >= 0 && numbers[i] <= 100000;
  if (line[0] == 'W' && count == 2) {
    fprintf(wheels, "%.4f,%lld,%lld\n", time_s, numbers[0], numbers[1]);
    ++rows;
    /* ---- YOUR LIDAR ------------------------------------------------------------------------------------------------
       A lidar that sends packets of its own needs its driver here: give its port a read_port() of another kind, which
       puts the packets' bytes together and once a turn writes a row as below: the time when the turn began to arrive,
       then BEAMS ranges. (Clockwise? Its first beam not ahead? robot.yaml: mirrored, heading_deg.) */
  } else if (line[0] == 'S' && count == BEAMS && in_range) {
    fprintf(scans, "%.4f", time_s);
    for (int i = 0; i < BEAMS; ++i) fprintf(scans, ",%.3f", (double)numbers[i] / 1000.0);
    fputs("\n", scans);
    ++turns;
    /* ------------------------------------------------------------------------------------------------------------- */
  } else {
    ++skipped;
  }
}

static void close_port(struct port *port, const char *why) {
  if (!port->said) fprintf(stderr, "logger: %s: %s; trying again until it is there\n", port->path, why);
  port->said = 1; /* once, not at each try */
  if (port->handle >= 0) close(port->handle);
  port->handle = -1;
}

static void open_port(struct port *port) {
  struct termios mode;
  port->handle = open(port->path, O_RDWR | O_NOCTTY | O_NONBLOCK);
  if (port->handle < 0 || tcgetattr(port->handle, &mode) != 0) {
    close_port(port, strerror(errno));
    return;
  }
  mode.c_iflag = mode.c_oflag = mode.c_lflag = 0; /* raw bytes, 8 bits, no parity */
  mode.c_cflag = CS8 | CREAD | CLOCAL;
  cfsetispeed(&mode, SPEED);
  cfsetospeed(&mode, SPEED);
  tcsetattr(port->handle, TCSANOW, &mode);
  tcflush(port->handle, TCIFLUSH); /* old lines would get wrong times */
  port->length = 0;
  port->said = 0;
  fprintf(stderr, "logger: %s: open\n", port->path);
}

/* Takes what has arrived. A line is stamped when its first byte arrives, so long lines are not late. */
static void read_port(struct port *port, double time_s) {
  char bytes[4096];
  const ssize_t size = read(port->handle, bytes, sizeof bytes);
  if (size < 0 && (errno == EAGAIN || errno == EINTR)) return;
  if (size <= 0) {
    skipped += port->length > 0;
    close_port(port, "the plug was pulled");
    return;
  }
  for (ssize_t i = 0; i < size; ++i) {
    if (port->length == 0) port->since_s = time_s;
    if (bytes[i] == '\n') {
      port->line[port->length] = '\0';
      take(port->line, port->since_s);
      port->length = 0;
    } else {
      port->line[port->length] = bytes[i] != '\0' ? bytes[i] : '?';
      if (port->length < LONGEST_LINE - 1) ++port->length; /* too long a line will not be BEAMS ranges */
    }
  }
}

int main(int count, char **words) {
  static struct port ports[MOST_PORTS];
  struct pollfd waits[MOST_PORTS];
  const int used = count - 2;
  if (used < 1 || used > MOST_PORTS) {
    fputs("logger FOLDER PORT...: see the first lines of logger.c\n", stderr);
    return 2;
  }
  signal(SIGINT, stop);
  signal(SIGTERM, stop);
  signal(SIGHUP, stop);
  signal(SIGPIPE, SIG_IGN); /* whoever read our words may be gone; the drive goes on */
  begin_drive(words[1]);
  fprintf(stderr, "logger: writing %s; Ctrl-C ends the drive\n", folder);
  for (int i = 0; i < used; ++i) {
    ports[i].path = words[2 + i];
    open_port(&ports[i]);
  }
  double flushed_s = now_s(), told_s = flushed_s;
  while (!stopping) {
    for (int i = 0; i < used; ++i) waits[i] = (struct pollfd){ports[i].handle, POLLIN, 0};
    const int ready = poll(waits, (nfds_t)used, 500); /* sleeps until bytes arrive, half a second at most */
    const double time_s = now_s();
    for (int i = 0; i < used && ready > 0; ++i) {
      if (waits[i].revents != 0) read_port(&ports[i], time_s);
    }
    if (time_s - flushed_s >= 0.5) {
      flush();
      flushed_s = time_s;
      for (int i = 0; i < used; ++i) {
        if (ports[i].handle < 0) open_port(&ports[i]);
      }
    }
    if (time_s - told_s >= 10.0) {
      tell();
      told_s = time_s;
    }
  }
  flush();
  fsync(fileno(wheels)); /* on the disk: now the power may go */
  fsync(fileno(scans));
  tell();
  return 0;
}
