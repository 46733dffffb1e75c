#pragma once

// Asks a page's server, with any head that a program can send.

#include <array>
#include <chrono>
#include <cstdint>
#include <string>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "io/files/descriptor.hpp"

namespace wainscot {

/// Of "http://127.0.0.1:4242/".
inline int port_of(const std::string& url) { return std::stoi(url.substr(url.rfind(':') + 1)); }

/// One question, and what comes for it.
class Asked {
 public:
  /// `head`: lines of it besides Host, each with its end.
  Asked(int port, const std::string& what, const std::string& head = "")
      : Asked(port, "GET " + what, fmt::format("127.0.0.1:{}", port), head) {}
  /// `host`: what the question says that it asks.
  Asked(int port, const std::string& what, const std::string& host, const std::string& head)
      : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    EXPECT_EQ(::connect(socket_.number(), reinterpret_cast<const sockaddr*>(&address), sizeof(address)), 0);
    const std::string text = fmt::format("{} HTTP/1.1\r\nHost: {}\r\n{}\r\n", what, host, head);
    EXPECT_EQ(::send(socket_.number(), text.data(), text.size(), MSG_NOSIGNAL), std::ssize(text));
  }

  /// Whether a part of the answer comes.
  bool says(const std::string& part) {
    while (answer_.find(part) == std::string::npos) {
      if (!read_more()) return false;
    }
    return true;
  }
  /// All of it, once the other end is closed.
  const std::string& whole() {
    while (read_more()) continue;
    return answer_;
  }
  const std::string& so_far() const { return answer_; }
  /// The number of its first line.
  int status() {
    says("\r\n");
    return answer_.size() > 12 ? std::stoi(answer_.substr(9, 3)) : 0;
  }

 private:
  /// False: it has ended, or this lasts longer than a busy machine may need.
  bool read_more() {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(latest_ - std::chrono::steady_clock::now());
    pollfd asked{socket_.number(), POLLIN, 0};
    if (left.count() <= 0 || ::poll(&asked, 1, static_cast<int>(left.count())) <= 0) return false;
    std::array<char, 4096> piece{};
    const ssize_t got = ::recv(socket_.number(), piece.data(), piece.size(), 0);
    if (got <= 0) return false;
    answer_.append(piece.data(), static_cast<std::size_t>(got));
    return true;
  }

  Descriptor socket_;
  std::string answer_;
  std::chrono::steady_clock::time_point latest_ = std::chrono::steady_clock::now() + std::chrono::minutes(2);
};

/// The word that stands in a page made of the words "key" and this one.
inline std::string key_of(int port) {
  Asked page(port, "/");
  const std::string text = page.whole();
  const std::string before = R"("key":")";
  const std::size_t at = text.find(before);
  EXPECT_NE(at, std::string::npos) << text;
  return text.substr(at + before.size(), 32);
}

}  // namespace wainscot
