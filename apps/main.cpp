// The program `wainscot`.

#include <csignal>

#include "apps/program.hpp"
#include "io/files/stop_signal.hpp"

// Some linear algebra libraries start a thread for each processor before main() begins, whose stacks count as memory
// that is used; under a limit of memory they then stop the program, or wait at its end for threads that could not be
// started. Nothing here gains by those threads. OpenBLAS asks this function of its own how many are wanted, and the
// program's is found first. Source: OpenBLAS 0.3, driver/others/memory.c, blas_get_cpu_number().
extern "C" [[gnu::visibility("default")]] int openblas_num_threads_env();
extern "C" int openblas_num_threads_env() { return 1; }

int main(int argc, char** argv) {
  // A limit on the size of files then ends a write with an error, which has a sentence, rather than the program.
  std::signal(SIGXFSZ, SIG_IGN);
  wainscot::heed_stop_signals();
  return wainscot::run_program(argc > 0 ? argc - 1 : 0, argv + 1);
}
