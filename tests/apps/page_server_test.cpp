#include "apps/page_server.hpp"

#include <memory>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/apps/comes_true.hpp"
#include "tests/apps/has.hpp"
#include "tests/apps/page_client.hpp"

namespace wainscot {
namespace {

const std::string kPage = R"({"key":"@KEY@"} and @KEY@)";

/// A server, and its port.
struct Served {
  PageServer server{{}, kPage};
  int port = port_of(server.url());

  Asked events() const { return Asked(port, "/events?key=" + key_of(port)); }
};

TEST(PageServer, GivesItsPageToThisComputer) {
  const Served served;
  EXPECT_EQ(served.server.url(), fmt::format("http://127.0.0.1:{}/", served.port));
  Asked page(served.port, "/");
  EXPECT_TRUE(has(page.whole(), "HTTP/1.1 200"));
  EXPECT_TRUE(has(page.whole(), "Content-Type: text/html"));
  EXPECT_TRUE(has(page.whole(), " and @KEY@")) << "the word stands where the page has it first";
  EXPECT_FALSE(has(page.whole(), R"("key":"@KEY@")"));
  EXPECT_EQ(key_of(served.port).find_first_not_of("0123456789abcdef"), std::string::npos);
  EXPECT_EQ(Asked(served.port, "GET /", fmt::format("localhost:{}", served.port), "").status(), 200);
}

TEST(PageServer, ForbidsWhatBrowsersWouldDoWithIt) {
  const Served served;
  Asked page(served.port, "/");
  for (const char* head : {"Cache-Control: no-store", "Content-Security-Policy: frame-ancestors 'none'",
                           "Cross-Origin-Resource-Policy: same-origin", "Referrer-Policy: no-referrer",
                           "X-Content-Type-Options: nosniff"}) {
    EXPECT_TRUE(has(page.whole(), std::string(head) + "\r\n")) << head;
  }
  EXPECT_FALSE(has(page.whole(), "Access-Control-Allow")) << "no other page may read it";
}

// What a browser sends where a page from elsewhere asks, or one that was found by another name (DNS rebinding).
TEST(PageServer, RefusesOtherPages) {
  const Served served;
  const std::string own = fmt::format("127.0.0.1:{}", served.port);
  const auto status = [&](const std::string& host, const std::string& head) {
    return Asked(served.port, "GET /", host, head).status();
  };
  EXPECT_EQ(status(own, "Origin: http://" + own + "\r\nSec-Fetch-Site: same-origin\r\n"), 200);
  EXPECT_EQ(status(own, "Sec-Fetch-Site: none\r\n"), 200) << "typed by hand";
  EXPECT_EQ(status("elsewhere.example", ""), 403);
  EXPECT_EQ(status("127.0.0.1", ""), 403) << "another port's page";
  EXPECT_EQ(status(own, "Origin: http://elsewhere.example\r\n"), 403);
  EXPECT_EQ(status(own, "Origin: null\r\n"), 403);
  EXPECT_EQ(status(own, fmt::format("Origin: http://127.0.0.1:{}\r\n", served.port + 1)), 403);
  EXPECT_EQ(status(own, "Sec-Fetch-Site: cross-site\r\n"), 403);
  EXPECT_EQ(status(own, "Sec-Fetch-Site: same-site\r\n"), 403) << "another port of this computer";
}

TEST(PageServer, NothingElseIsThereAndNothingCanBeChanged) {
  const Served served;
  const std::string own = fmt::format("127.0.0.1:{}", served.port);
  EXPECT_EQ(Asked(served.port, "/robot.yaml").status(), 404);
  EXPECT_EQ(Asked(served.port, "/../robot.yaml").status(), 404);
  for (const char* what : {"POST /", "PUT /", "DELETE /", "POST /events"}) {
    EXPECT_EQ(Asked(served.port, what, own, "Content-Length: 0\r\n").status(), 404) << what;
  }
  EXPECT_EQ(Asked(served.port, "/").status(), 200) << "and it is as it was";
}

TEST(PageServer, EventsNeedTheWordOfThePage) {
  const Served served;
  const std::string key = key_of(served.port);
  EXPECT_EQ(Asked(served.port, "/events").status(), 403);
  EXPECT_EQ(Asked(served.port, "/events?key=").status(), 403);
  EXPECT_EQ(Asked(served.port, "/events?key=" + key.substr(1)).status(), 403);
  EXPECT_EQ(Asked(served.port, "/events?key=" + key + "0").status(), 403);
  EXPECT_EQ(Asked(served.port, "/events?key=" + std::string(key.rbegin(), key.rend())).status(), 403);
  EXPECT_EQ(Asked(served.port, "/events?key=" + key).status(), 200);
}

TEST(PageServer, TellsTheLastOfEachKindAndThenWhatComes) {
  Served served;
  served.server.publish("here", R"({"x":1})");
  served.server.publish("map", R"({"y":1})");
  served.server.publish("here", R"({"x":2})");
  Asked events = served.events();
  ASSERT_TRUE(events.says("event: here\ndata: {\"x\":2}\n\n"));
  EXPECT_TRUE(has(events.so_far(), "Content-Type: text/event-stream"));
  EXPECT_TRUE(has(events.so_far(), "event: map\ndata: {\"y\":1}\n\n")) << "in the order in which they came";
  EXPECT_FALSE(has(events.so_far(), R"({"x":1})")) << "nobody needs to know where the robot was";
  served.server.publish("map", R"({"y":3})");
  ASSERT_TRUE(events.says("event: map\ndata: {\"y\":3}\n\n"));
  EXPECT_FALSE(has(events.so_far().substr(events.so_far().find("{\"y\":3}")), R"({"x":2})")) << "once";
}

TEST(PageServer, TwoWatchersAreToldTheSame) {
  Served served;
  Asked one = served.events();
  Asked other = served.events();
  served.server.publish("here", "{}");
  EXPECT_TRUE(one.says("event: here\n"));
  EXPECT_TRUE(other.says("event: here\n"));
}

TEST(PageServer, TheLastIsToldBeforeItEnds) {
  auto served = std::make_unique<Served>();
  Asked events = served->events();
  served->server.publish("here", "{}");
  ASSERT_TRUE(events.says("event: here\n"));
  served->server.publish("end", R"({"words":"done"})");
  std::thread ends([&] { served.reset(); });
  EXPECT_TRUE(has(events.whole(), R"({"words":"done"})"));
  ends.join();
}

TEST(PageServer, WatchersHaveALimitAndGiveTheirPlaceUp) {
  const Served served;
  const std::string key = key_of(served.port);
  std::vector<Asked> watchers;
  for (int i = 0; i < kMostWatchers; ++i) {
    watchers.emplace_back(served.port, "/events?key=" + key);
    ASSERT_EQ(watchers.back().status(), 200) << i;
  }
  EXPECT_EQ(Asked(served.port, "/events?key=" + key).status(), 503);
  EXPECT_EQ(Asked(served.port, "/").status(), 200) << "the page itself is still there";
  watchers.clear();
  EXPECT_TRUE(comes_true([&] { return Asked(served.port, "/events?key=" + key).status() == 200; }));
}

TEST(PageServer, APortThatIsTakenIsRefused) {
  const Served served;
  PageServerOptions same;
  same.port = served.port;
  try {
    const PageServer second(same, kPage);
    FAIL() << "two have one port";
  } catch (const InputError& error) {
    EXPECT_TRUE(has(error.what(), fmt::format("--port {}: is taken", served.port))) << error.what();
  }
}

TEST(PageServer, AnAddressOfAnotherComputerIsRefused) {
  PageServerOptions elsewhere;
  elsewhere.address = "192.0.2.1";  // TEST-NET-1 of RFC 5737: nobody's
  try {
    const PageServer server(elsewhere, kPage);
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_TRUE(has(error.what(), "--listen 192.0.2.1: is no address of this computer")) << error.what();
  }
}

TEST(PageServer, OtherComputersNeedAToken) {
  for (const char* address : {"127.0.0.1", "127.1.2.3", "localhost", "::1"}) EXPECT_TRUE(is_loopback(address));
  for (const char* address : {"0.0.0.0", "::", "192.168.1.20", "1.127.0.0", ""}) EXPECT_FALSE(is_loopback(address));
  PageServerOptions all;
  all.address = "0.0.0.0";
  const PageServer server(all, kPage);
  const std::string url = server.url();
  const std::string token = url.substr(url.find("/?token=") + 1);
  ASSERT_EQ(token.size(), std::string("?token=").size() + 32) << url;
  const int port = port_of(url.substr(0, url.find("/?")));
  EXPECT_EQ(Asked(port, "/").status(), 403);
  EXPECT_EQ(Asked(port, "/?token=" + std::string(32, '0')).status(), 403);
  EXPECT_EQ(Asked(port, "/" + token).status(), 200);
  EXPECT_EQ(Asked(port, "GET /" + token, "robot.example", "").status(), 200) << "by whatever name it is found";
  EXPECT_EQ(Asked(port, "GET /" + token, "robot.example", "Origin: http://elsewhere.example\r\n").status(), 403);
}

}  // namespace
}  // namespace wainscot
