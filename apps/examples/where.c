/*
 * A robot's program in C: reads a recorded drive as if it came from the robot, asks where the robot is after each scan,
 * and how far the nearest wall is from there.
 *
 *   cc where.c -lwainscot -o where && ./where MAP DRIVE [SECONDS A TURN OF THE LIDAR]
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <wainscot.h>

enum { most_beams = 4096, longest_line = 65536 };

static int fail(const char *what) {
  fprintf(stderr, "where: %s\n", what);
  return 2;
}

/* A row's numbers; an empty cell is 0, which is no return. */
static size_t numbers_of(const char *line, double *numbers, size_t most) {
  size_t count = 0;
  while (count < most) {
    char *end;
    numbers[count] = strtod(line, &end);
    if (end == line) numbers[count] = 0.0;
    ++count;
    line = strchr(end, ',');
    if (line == NULL) break;
    ++line;
  }
  return count;
}

static void tell(const wainscot_map *map, const wainscot_location *here) {
  double wall_m = 0.0;
  if (here->answer != WAINSCOT_FOUND) {
    printf("%.3f s: %s\n", here->time_s, here->answer == WAINSCOT_LOST ? "lost" : "not sure yet");
  } else if (wainscot_wall_distance(map, here->x_m, here->y_m, &wall_m) == WAINSCOT_OK) {
    printf("%.3f s: at (%.3f, %.3f) m, heading %.4f rad, the nearest wall %.2f m away\n", here->time_s, here->x_m,
           here->y_m, here->heading_rad, wall_m);
  }
}

static FILE *table(const char *folder, const char *name) {
  char path[4096];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  return fopen(path, "r");
}

int main(int argc, char **argv) {
  static char line[longest_line];
  static double angles[most_beams], row[most_beams + 1], offsets[most_beams];
  const double sweep_s = argc > 3 ? atof(argv[3]) : 0.1;
  FILE *wheels, *scans;
  wainscot_map *map;
  wainscot_locator *locator;
  size_t beams, i, cells;
  double wheel[3] = {0.0, 0.0, 0.0};
  int status = WAINSCOT_OK;

  if (argc < 3) return fail("usage: where MAP DRIVE [SECONDS A TURN OF THE LIDAR]");
  map = wainscot_open_map(argv[1]);
  if (map == NULL) return fail(wainscot_last_error());
  locator = wainscot_new_locator(map, NULL);
  if (locator == NULL) return fail(wainscot_last_error());
  wheels = table(argv[2], "wheels.csv");
  scans = table(argv[2], "scans.csv");
  if (wheels == NULL || scans == NULL) return fail("the drive has no wheels.csv or no scans.csv");
  if (fgets(line, sizeof line, wheels) == NULL || fgets(line, sizeof line, scans) == NULL) return fail("an empty table");
  beams = numbers_of(line, row, most_beams + 1) - 1;
  for (i = 0; i < beams; ++i) {
    angles[i] = row[i + 1];
    offsets[i] = sweep_s * (double)i / (double)beams;
  }
  while (fgets(line, sizeof line, scans) != NULL) {
    const double begin_s = strtod(line, NULL);
    wainscot_location here;
    cells = numbers_of(line, row, most_beams + 1);
    if (cells != beams + 1) return fail("a row of scans.csv has too few cells");
    while (wheel[0] < begin_s + 2.0 * sweep_s && fgets(line, sizeof line, wheels) != NULL) {
      if (numbers_of(line, wheel, 3) != 3) return fail("a row of wheels.csv has too few cells");
      status = wainscot_add_wheels(locator, wheel[0], (int64_t)wheel[1], (int64_t)wheel[2]);
      if (status != WAINSCOT_OK) return fail(wainscot_last_error());
    }
    status = wainscot_add_scan(locator, begin_s, beams, angles, row + 1, offsets);
    if (status != WAINSCOT_OK) return fail(wainscot_last_error());
    while ((status = wainscot_next_location(locator, &here)) == WAINSCOT_OK) tell(map, &here);
    if (status != WAINSCOT_NOTHING_YET) return fail(wainscot_last_error());
  }
  fclose(wheels);
  fclose(scans);
  wainscot_delete_locator(locator);
  wainscot_close_map(map);
  return 0;
}
