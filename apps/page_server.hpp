#pragma once

// A page that this computer's own browser shows, and what it is told as things happen (server-sent events: WHATWG, HTML
// Living Standard, section 9.2). Nobody else can read it, and nobody at all can change anything by it: other pages in
// the same browser send their origin, or the host name that they were found by, and are refused; the events need a word
// that stands in the page only.

#include <memory>
#include <string>
#include <string_view>

namespace wainscot {

struct PageServerOptions {
  std::string address = "127.0.0.1";  ///< of this computer; any other than the loopback's asks for a token
  int port = 0;                       ///< 0: one that is free
};

/// The most watchers at a time: each takes a thread.
inline constexpr int kMostWatchers = 16;

/// In whose place PageServer puts the page's word.
inline constexpr std::string_view kKeyPlace = "@KEY@";

/// Whether an address is reached from this computer alone.
bool is_loopback(std::string_view address);

class PageServer {
 public:
  /// Begins at once. `page`: with kKeyPlace where the word goes by which its script asks for `events?key=WORD`. Throws
  /// `InputError` where the port is taken or the address is not one of this computer's.
  PageServer(const PageServerOptions& options, const std::string& page);
  PageServer(const PageServer&) = delete;
  PageServer& operator=(const PageServer&) = delete;
  /// Before, those who watch are told what was published last; who does not take it is not waited for.
  ~PageServer();

  /// For a browser on this computer (or, with the token in it, on another).
  const std::string& url() const;

  /// Tells all watchers; whoever comes later is told the last of each kind. `kind`: a word; `json`: without line ends.
  /// May be called from any thread.
  void publish(const std::string& kind, std::string json);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace wainscot
