/*
 * A drive in, a map out, with a line for each stage of the work.
 *
 *   cc map_a_drive.c -lwainscot -o map_a_drive && ./map_a_drive DRIVE MAP
 */
#include <stdio.h>
#include <string.h>

#include <wainscot.h>

/* `user`: the stage before. */
static int tell(void *user, const char *stage, double fraction) {
  char *last = user;
  if (strcmp(last, stage) != 0) printf("%3.0f %% %s\n", 100.0 * fraction, stage);
  snprintf(last, 64, "%s", stage);
  return 0; /* anything else would stop the work */
}

int main(int argc, char **argv) {
  char last[64] = "";
  int status;
  if (argc != 3) {
    fprintf(stderr, "usage: map_a_drive DRIVE MAP\n");
    return 2;
  }
  status = wainscot_build_map(argv[1], argv[2], tell, last);
  if (status != WAINSCOT_OK) {
    fprintf(stderr, "map_a_drive: %s\n", wainscot_last_error());
    return status;
  }
  printf("written to %s\n", argv[2]);
  return 0;
}
