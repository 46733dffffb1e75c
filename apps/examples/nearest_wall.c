/*
 * What is at a place of a map, and how far the nearest wall is from there.
 *
 *   cc nearest_wall.c -lwainscot -o nearest_wall && ./nearest_wall MAP X_M Y_M
 */
#include <stdio.h>
#include <stdlib.h>

#include <wainscot.h>

int main(int argc, char **argv) {
  static const char *const words[] = {"unknown", "free", "occupied"};
  wainscot_map *map;
  int32_t at = WAINSCOT_UNKNOWN;
  double wall_m = 0.0;
  int status;
  if (argc != 4) {
    fprintf(stderr, "usage: nearest_wall MAP X_M Y_M\n");
    return 2;
  }
  map = wainscot_open_map(argv[1]);
  status = map == NULL ? WAINSCOT_WRONG_INPUT : wainscot_floor_at(map, atof(argv[2]), atof(argv[3]), &at);
  if (status == WAINSCOT_OK) status = wainscot_wall_distance(map, atof(argv[2]), atof(argv[3]), &wall_m);
  if (status == WAINSCOT_OK) {
    printf("%s, the nearest wall %.3f m away\n", words[at], wall_m);
  } else {
    fprintf(stderr, "nearest_wall: %s\n", wainscot_last_error());
  }
  wainscot_close_map(map);
  return status;
}
