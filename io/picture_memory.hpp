#pragma once

#include <new>

#include <opencv2/core.hpp>

namespace wainscot {

/// In a handler of what OpenCV throws: throws std::bad_alloc where the memory was short, which is no fault of the
/// program, and the same again otherwise.
[[noreturn]] inline void rethrow_picture_fault(const cv::Exception& fault) {
  if (fault.code == cv::Error::StsNoMem) throw std::bad_alloc();
  throw;
}

}  // namespace wainscot
