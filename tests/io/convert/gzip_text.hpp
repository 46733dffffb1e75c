#pragma once

#include <cstring>
#include <stdexcept>
#include <string>

#include <zlib.h>

namespace wainscot {

/// A gzip file's bytes.
inline std::string gzip_text(const std::string& text) {
  z_stream stream;
  std::memset(&stream, 0, sizeof stream);
  constexpr int gzip_form = 15 + 16;  // zlib.h: windowBits of the largest window, plus 16 for a gzip header
  if (deflateInit2(&stream, Z_DEFAULT_COMPRESSION, Z_DEFLATED, gzip_form, 8, Z_DEFAULT_STRATEGY) != Z_OK) {
    throw std::runtime_error("deflateInit2");
  }
  std::string zipped(deflateBound(&stream, text.size()), '\0');
  std::string input = text;
  stream.next_in = reinterpret_cast<Bytef*>(input.data());
  stream.avail_in = static_cast<uInt>(input.size());
  stream.next_out = reinterpret_cast<Bytef*>(zipped.data());
  stream.avail_out = static_cast<uInt>(zipped.size());
  const int result = deflate(&stream, Z_FINISH);
  zipped.resize(stream.total_out);
  deflateEnd(&stream);
  if (result != Z_STREAM_END) throw std::runtime_error("deflate");
  return zipped;
}

}  // namespace wainscot
