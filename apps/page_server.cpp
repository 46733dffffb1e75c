#include "apps/page_server.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <map>
#include <mutex>
#include <system_error>
#include <thread>
#include <utility>

#include <fmt/format.h>
#include <httplib.h>
#include <sys/random.h>
#include <unistd.h>

#include "core/errors.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

// A watcher who does not take what is sent is let go after so long.
constexpr int kPatience_s = 5;
// So often an idle connection is written to, so that one whose other end has gone is noticed.
constexpr auto kHeartbeat = std::chrono::seconds(2);

/// 128 random bits, as hexadecimal digits.
std::string random_word() {
  std::array<unsigned char, 16> bytes{};
  if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size())) {
    throw std::system_error(errno, std::generic_category());
  }
  std::string word;
  for (const unsigned char byte : bytes) word += fmt::format("{:02x}", byte);
  return word;
}

/// Takes as long for a word that is nearly right as for any other.
bool is_word(const std::string& given, const std::string& word) {
  unsigned char difference = given.size() == word.size() ? 0 : 1;
  for (std::size_t i = 0; i < std::min(given.size(), word.size()); ++i) {
    difference |= static_cast<unsigned char>(given[i] ^ word[i]);
  }
  return difference == 0;
}

/// As others in the network may know it.
std::string own_name() {
  std::array<char, 256> name{};
  return ::gethostname(name.data(), name.size() - 1) == 0 ? name.data() : "localhost";
}

void refuse(httplib::Response& response, int status, const char* sentence) {
  response.status = status;
  response.set_content(sentence, "text/plain; charset=utf-8");
}

}  // namespace

bool is_loopback(std::string_view address) {
  return address == "localhost" || address == "::1" || address.starts_with("127.");
}

struct PageServer::State {
  struct Event {
    std::string json;
    std::uint64_t number = 0;  ///< of all events, ascending
  };

  void start(const PageServerOptions& options, const std::string& form);
  void set_up();
  int bound_port(const PageServerOptions& options);
  bool is_from_here(const httplib::Request& request) const;
  void answer_page(const httplib::Request& request, httplib::Response& response) const;
  void answer_events(const httplib::Request& request, httplib::Response& response);
  bool send_news(httplib::DataSink& sink, std::uint64_t& seen);

  httplib::Server server;
  std::thread thread;
  std::string url;
  std::string host;      ///< as browsers name it: ADDRESS:PORT
  std::string own_host;  ///< localhost:PORT
  std::string token;     ///< empty: none is asked for
  std::string key = random_word();
  std::string page;
  std::atomic<int> watchers{0};
  std::mutex mutex;
  std::condition_variable came;
  std::map<std::string, Event> events;  ///< the last of each kind
  std::uint64_t last = 0;
  bool ends = false;
};

/// A page elsewhere that asks here says so, or it was found under another name (DNS rebinding).
bool PageServer::State::is_from_here(const httplib::Request& request) const {
  const std::string asked = request.get_header_value("Host");
  const std::string origin = request.get_header_value("Origin");
  const std::string site = request.get_header_value("Sec-Fetch-Site");
  const bool is_asked_so = !token.empty() || asked == host || asked == own_host;
  const bool is_same_origin = origin.empty() || origin == "http://" + asked;
  return is_asked_so && is_same_origin && (site.empty() || site == "same-origin" || site == "none");
}

void PageServer::State::answer_page(const httplib::Request& request, httplib::Response& response) const {
  if (!token.empty() && !is_word(request.get_param_value("token"), token)) {
    return refuse(response, 403, "The address lacks its token: take it whole, as wainscot has told it.\n");
  }
  response.set_content(page, "text/html; charset=utf-8");
}

/// What is new to a watcher; false: it has gone.
bool PageServer::State::send_news(httplib::DataSink& sink, std::uint64_t& seen) {
  std::string text;
  {
    std::unique_lock<std::mutex> lock(mutex);
    came.wait_for(lock, kHeartbeat, [&] { return last > seen || ends; });
    std::vector<std::pair<std::uint64_t, std::string>> news;
    for (const auto& [kind, event] : events) {
      if (event.number > seen)
        news.emplace_back(event.number, fmt::format("event: {}\ndata: {}\n\n", kind, event.json));
    }
    std::sort(news.begin(), news.end());
    for (const auto& [number, event] : news) text += event;
    seen = last;
    if (text.empty() && ends) {
      sink.done();  // without the last chunk, browsers would complain
      return true;
    }
  }
  if (text.empty()) text = ":\n\n";
  return sink.write(text.data(), text.size());
}

void PageServer::State::answer_events(const httplib::Request& request, httplib::Response& response) {
  if (!is_word(request.get_param_value("key"), key)) {
    return refuse(response, 403, "Open the page itself.\n");
  }
  if (++watchers > kMostWatchers) {
    --watchers;
    return refuse(response, 503, "Too many pages watch already; close one.\n");
  }
  auto seen = std::make_shared<std::uint64_t>(0);
  response.set_chunked_content_provider(
      "text/event-stream",
      [this, seen](std::size_t /*offset*/, httplib::DataSink& sink) { return send_news(sink, *seen); },
      [this](bool /*whole*/) { --watchers; });
}

void PageServer::State::set_up() {
  // Not SO_REUSEPORT, with which two programs could have one port.
  server.set_socket_options([](socket_t socket) {
    const int yes = 1;
    ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  });
  server.new_task_queue = [] { return new httplib::ThreadPool(kMostWatchers + 4); };  // the library deletes it
  server.set_keep_alive_max_count(1);
  server.set_read_timeout(kPatience_s);
  server.set_write_timeout(kPatience_s);
  server.set_payload_max_length(0);
  server.set_default_headers({{"Cache-Control", "no-store"},
                              {"Content-Security-Policy", "frame-ancestors 'none'"},
                              {"Cross-Origin-Resource-Policy", "same-origin"},
                              {"Referrer-Policy", "no-referrer"},
                              {"X-Content-Type-Options", "nosniff"}});
  server.set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
    if (is_from_here(request)) return httplib::Server::HandlerResponse::Unhandled;
    refuse(response, 403, "This page is for the one who runs the program, not for other pages.\n");
    return httplib::Server::HandlerResponse::Handled;
  });
  server.Get("/", [this](const auto& request, auto& response) { answer_page(request, response); });
  server.Get("/events", [this](const auto& request, auto& response) { answer_events(request, response); });
}

/// The port that it has then.
int PageServer::State::bound_port(const PageServerOptions& options) {
  if (options.port == 0) {
    const int port = server.bind_to_any_port(options.address);
    if (port > 0) return port;
    throw InputError(
        fmt::format("--listen {}: is no address of this computer; use 127.0.0.1, or one that ip address lists",
                    printable(options.address)));
  }
  if (server.bind_to_port(options.address, options.port)) return options.port;
  throw InputError(
      fmt::format("--port {}: is taken by another program, or {} is no address of this computer; choose another port, "
                  "or leave --port out for one that is free",
                  options.port, printable(options.address)));
}

void PageServer::State::start(const PageServerOptions& options, const std::string& form) {
  page = form;
  const std::size_t place = page.find(kKeyPlace);
  if (place != std::string::npos) page.replace(place, kKeyPlace.size(), key);
  set_up();
  const int port = bound_port(options);
  std::string name = options.address;
  if (name == "0.0.0.0" || name == "::") name = own_name();
  if (name.find(':') != std::string::npos) name = "[" + name + "]";
  host = fmt::format("{}:{}", name, port);
  own_host = fmt::format("localhost:{}", port);
  if (!is_loopback(options.address)) token = random_word();
  url = fmt::format("http://{}/{}", host, token.empty() ? "" : "?token=" + token);
  thread = std::thread([this] { server.listen_after_bind(); });
  while (!server.is_running()) std::this_thread::sleep_for(std::chrono::milliseconds(1));  // else stop() does nothing
}

PageServer::PageServer(const PageServerOptions& options, const std::string& page) : state_(std::make_unique<State>()) {
  state_->start(options, page);
}

PageServer::~PageServer() {
  {
    const std::lock_guard<std::mutex> lock(state_->mutex);
    state_->ends = true;
  }
  state_->came.notify_all();
  // Those who watch take what was published last; one who does not is not waited for.
  for (int i = 0; i < 10 * kPatience_s && state_->watchers > 0; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  }
  state_->server.stop();
  state_->thread.join();
}

const std::string& PageServer::url() const { return state_->url; }

void PageServer::publish(const std::string& kind, std::string json) {
  {
    const std::lock_guard<std::mutex> lock(state_->mutex);
    state_->events[kind] = {std::move(json), ++state_->last};
  }
  state_->came.notify_all();
}

}  // namespace wainscot
