#include "tests/faults/failing_calls.hpp"

#include <array>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <new>
#include <stdexcept>
#include <string>

#include <dlfcn.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

namespace {

// Nothing counts before `go_wrong`, which may come after calls of libraries that begin.
std::atomic<bool> goes_on{false};
std::atomic<bool> counts_memory{false};  // then nothing else counts, nor what is taken here
std::atomic<long> failing_memory{0};

struct Wanted {
  wainscot::Fault fault;
  std::string below;
  std::string list;
};

Wanted& wanted() {
  static Wanted& all = *new Wanted;  // for the libraries' ends too
  return all;
}

bool counts_calls() { return goes_on && !counts_memory; }

/// The function of the C library that one here stands before.
template <typename Function>
Function* next(const char* name) {
  return reinterpret_cast<Function*>(::dlsym(RTLD_NEXT, name));
}

std::string target_of(const std::string& link) {
  std::array<char, 4096> path{};
  const ssize_t length = ::readlink(link.c_str(), path.data(), path.size());
  return length < 0 ? std::string() : std::string(path.data(), static_cast<std::size_t>(length));
}

std::string path_of(int descriptor) {
  return !counts_calls() ? std::string() : target_of("/proc/self/fd/" + std::to_string(descriptor));
}

std::string path_of(int folder, const char* path) {
  if (!counts_calls()) return {};
  if (path[0] == '/') return path;
  return (folder == AT_FDCWD ? target_of("/proc/self/cwd") : path_of(folder)) + "/" + path;
}

bool counts(const char* kind, const std::string& path) {
  if (!counts_calls()) return false;
  const std::string& below = wanted().below;
  if (path.compare(0, below.size() + 1, below + "/") != 0) return false;
  return ("," + wanted().fault.calls + ",").find("," + std::string(kind) + ",") != std::string::npos;
}

void list(const char* kind, const std::string& path) {
  const std::string& file = wanted().list;
  if (file.empty()) return;
  const std::string line = std::string(kind) + " " + path + "\n";
  const long out = ::syscall(SYS_openat, AT_FDCWD, file.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0666);
  ::syscall(SYS_write, out, line.data(), line.size());
  ::syscall(SYS_close, out);
}

struct Named {
  const char* name;
  int number;
};
constexpr std::array<Named, 3> errors = {{{"ENOSPC", ENOSPC}, {"EIO", EIO}, {"EPERM", EPERM}}};
constexpr std::array<Named, 4> signals = {
    {{"SIGKILL", SIGKILL}, {"SIGINT", SIGINT}, {"SIGTERM", SIGTERM}, {"SIGHUP", SIGHUP}}};

/// What is wanted of this call: true, with errno set, where it shall fail.
bool goes_wrong(const char* kind, const std::string& path) {
  static std::atomic<int> calls{0};
  const int error_before = errno;
  if (!counts(kind, path)) return false;
  const int call = ++calls;
  list(kind, path);
  const std::string& at = wanted().fault.at;
  errno = error_before;
  if (at != "every" && at != std::to_string(call)) return false;
  const std::string& act = wanted().fault.act;
  for (const Named& error : errors) {
    if (act != error.name) continue;
    errno = error.number;
    return true;
  }
  for (const Named& signal : signals) {
    if (act != signal.name) continue;
    ::kill(::getpid(), signal.number);
    return false;
  }
  goes_on = false;  // what is done meanwhile is none of the program's
  std::system(act.c_str());
  goes_on = true;
  errno = error_before;
  return false;
}

// What libraries do before `main` no program can catch. That it has begun shows by its first call, of `signal`.
std::atomic<bool> main_has_begun{false};  // and not ended
std::atomic<long> memory_calls{0};

void* allocated(std::size_t size) {
  if (main_has_begun && ++memory_calls == failing_memory) return nullptr;
  return std::malloc(size == 0 ? 1 : size);
}

/// Before the libraries' own ends, which no program can catch either.
void end_of_main() {
  main_has_begun = false;
  list("memory", std::to_string(memory_calls));
}

bool is_for_writing(int flags) { return (flags & O_ACCMODE) != O_RDONLY || (flags & O_CREAT) != 0; }

bool is_for_writing(const char* mode) { return std::strpbrk(mode, "wa+") != nullptr; }

mode_t mode_of(int flags, std::va_list arguments) {
  return (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(arguments, mode_t) : 0;
}

int opened(int folder, const char* path, int flags, mode_t mode) {
  if (is_for_writing(flags) && goes_wrong("open", path_of(folder, path))) return -1;
  return static_cast<int>(::syscall(SYS_openat, folder, path, flags, mode));
}

std::FILE* opened(const char* name, const char* path, const char* mode) {
  if (is_for_writing(mode) && goes_wrong("open", path_of(AT_FDCWD, path))) return nullptr;
  return next<std::FILE*(const char*, const char*)>(name)(path, mode);
}

}  // namespace

namespace wainscot {

void go_wrong(const Fault& fault, const std::string& below, const std::string& list) {
  wanted() = {fault, below, list};
  counts_memory = fault.calls == "memory";
  failing_memory = counts_memory ? std::stol(fault.at) : 0;
  goes_on = true;
}

}  // namespace wainscot

void* operator new(std::size_t size) {
  void* const memory = allocated(size);
  if (memory != nullptr) return memory;
  if (wanted().fault.act == "logic_error") throw std::logic_error("no memory, said wrongly");
  if (const std::new_handler handler = std::get_new_handler()) handler();  // as that of the standard library does
  throw std::bad_alloc();
}
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t /*size*/) noexcept { std::free(memory); }

extern "C" {

sighandler_t signal(int number, sighandler_t handler) {
  if (counts_memory && !main_has_begun) {
    std::atexit(end_of_main);
    main_has_begun = true;
  }
  return next<sighandler_t(int, sighandler_t)>("signal")(number, handler);
}

int open(const char* path, int flags, ...) {
  std::va_list arguments;
  va_start(arguments, flags);
  const mode_t mode = mode_of(flags, arguments);
  va_end(arguments);
  return opened(AT_FDCWD, path, flags, mode);
}
int openat(int folder, const char* path, int flags, ...) {
  std::va_list arguments;
  va_start(arguments, flags);
  const mode_t mode = mode_of(flags, arguments);
  va_end(arguments);
  return opened(folder, path, flags, mode);
}
// The same on machines of 64 bits.
int open64(const char* path, int flags, ...) __attribute__((alias("open")));
int openat64(int folder, const char* path, int flags, ...) __attribute__((alias("openat")));
std::FILE* fopen(const char* path, const char* mode) { return opened("fopen", path, mode); }
std::FILE* fopen64(const char* path, const char* mode) { return opened("fopen64", path, mode); }

char* mkdtemp(char* form) {
  if (goes_wrong("make", path_of(AT_FDCWD, form))) return nullptr;
  return next<char*(char*)>("mkdtemp")(form);
}
int mkdir(const char* path, mode_t mode) {
  if (goes_wrong("make", path_of(AT_FDCWD, path))) return -1;
  return next<int(const char*, mode_t)>("mkdir")(path, mode);
}
int mkdirat(int folder, const char* path, mode_t mode) {
  if (goes_wrong("make", path_of(folder, path))) return -1;
  return next<int(int, const char*, mode_t)>("mkdirat")(folder, path, mode);
}

ssize_t write(int descriptor, const void* bytes, size_t count) {
  if (goes_wrong("write", path_of(descriptor))) return -1;
  return next<ssize_t(int, const void*, size_t)>("write")(descriptor, bytes, count);
}
ssize_t writev(int descriptor, const iovec* pieces, int count) {
  if (goes_wrong("write", path_of(descriptor))) return -1;
  return next<ssize_t(int, const iovec*, int)>("writev")(descriptor, pieces, count);
}
ssize_t pwrite(int descriptor, const void* bytes, size_t count, off_t offset) {
  if (goes_wrong("write", path_of(descriptor))) return -1;
  return next<ssize_t(int, const void*, size_t, off_t)>("pwrite")(descriptor, bytes, count, offset);
}
ssize_t pwrite64(int descriptor, const void* bytes, size_t count, off64_t offset) {
  if (goes_wrong("write", path_of(descriptor))) return -1;
  return next<ssize_t(int, const void*, size_t, off64_t)>("pwrite64")(descriptor, bytes, count, offset);
}
int ftruncate(int descriptor, off_t size) {
  if (goes_wrong("write", path_of(descriptor))) return -1;
  return next<int(int, off_t)>("ftruncate")(descriptor, size);
}
int ftruncate64(int descriptor, off64_t size) {
  if (goes_wrong("write", path_of(descriptor))) return -1;
  return next<int(int, off64_t)>("ftruncate64")(descriptor, size);
}

int fsync(int descriptor) {
  if (goes_wrong("sync", path_of(descriptor))) return -1;
  return next<int(int)>("fsync")(descriptor);
}
int fdatasync(int descriptor) {
  if (goes_wrong("sync", path_of(descriptor))) return -1;
  return next<int(int)>("fdatasync")(descriptor);
}

int rename(const char* from, const char* to) {
  if (goes_wrong("rename", path_of(AT_FDCWD, to))) return -1;
  return next<int(const char*, const char*)>("rename")(from, to);
}
int renameat(int from_folder, const char* from, int to_folder, const char* to) {
  if (goes_wrong("rename", path_of(to_folder, to))) return -1;
  return next<int(int, const char*, int, const char*)>("renameat")(from_folder, from, to_folder, to);
}
int renameat2(int from_folder, const char* from, int to_folder, const char* to, unsigned flags) {
  if (flags != 0 && counts("flags", path_of(to_folder, to))) {
    goes_wrong("flags", path_of(to_folder, to));
    errno = EINVAL;
    return -1;
  }
  if (goes_wrong("rename", path_of(to_folder, to))) return -1;
  return next<int(int, const char*, int, const char*, unsigned)>("renameat2")(from_folder, from, to_folder, to, flags);
}
int link(const char* from, const char* to) {
  if (goes_wrong("link", path_of(AT_FDCWD, to))) return -1;
  return next<int(const char*, const char*)>("link")(from, to);
}
int linkat(int from_folder, const char* from, int to_folder, const char* to, int flags) {
  if (goes_wrong("link", path_of(to_folder, to))) return -1;
  return next<int(int, const char*, int, const char*, int)>("linkat")(from_folder, from, to_folder, to, flags);
}

int unlink(const char* path) {
  if (goes_wrong("remove", path_of(AT_FDCWD, path))) return -1;
  return next<int(const char*)>("unlink")(path);
}
int remove(const char* path) {
  if (goes_wrong("remove", path_of(AT_FDCWD, path))) return -1;
  return next<int(const char*)>("remove")(path);
}
int rmdir(const char* path) {
  if (goes_wrong("remove", path_of(AT_FDCWD, path))) return -1;
  return next<int(const char*)>("rmdir")(path);
}
int unlinkat(int folder, const char* path, int flags) {
  if (goes_wrong("remove", path_of(folder, path))) return -1;
  return next<int(int, const char*, int)>("unlinkat")(folder, path, flags);
}

}  // extern "C"
