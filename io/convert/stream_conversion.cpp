#include "io/convert/stream_conversion.hpp"

#include <csignal>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/convert/log_lines.hpp"
#include "io/convert/log_pass.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

/// Nothing is known of the scans to come.
ScanForm form_of_stream() {
  ScanForm form;
  form.may_have_fewer = true;
  form.is_settled = true;
  return form;
}

}  // namespace

StreamConversion::StreamConversion(LogColumns columns, Descriptor pipe, const MakeTable& make_table)
    : columns_(std::move(columns)), pipe_(std::move(pipe)) {
  if (columns_.files.size() != 1) {
    throw InputError(fmt::format("columns.yaml describes {}, but a stream is one: name one under files",
                                 count_text(columns_.files.size(), "log")));
  }
  for (const SectionJob& job : jobs_of(columns_, form_of_stream()))
    tables_.emplace_back(job.file, make_table(job.file));
  thread_ = std::thread([this] {
    // A table whose reader has gone is an error of the writing, and no end of the program.
    sigset_t broken_pipe;
    ::sigemptyset(&broken_pipe);
    ::sigaddset(&broken_pipe, SIGPIPE);
    ::pthread_sigmask(SIG_BLOCK, &broken_pipe, nullptr);
    try {
      convert();
    } catch (...) {
      failure_ = std::current_exception();
    }
    tables_.clear();  // whoever reads them sees their end
    has_ended_ = true;
  });
}

StreamConversion::~StreamConversion() {
  end();
  thread_.join();
}

void StreamConversion::convert() {
  LogLines lines(std::move(pipe_), warnings_, [this] { return !ends_; });
  std::vector<SectionJob> jobs = jobs_of(columns_, form_of_stream());
  std::vector<SectionJob*> all;
  for (std::size_t i = 0; i < jobs.size(); ++i) {
    jobs[i].writer = std::move(tables_[i].second);
    all.push_back(&jobs[i]);
  }
  LogPass pass(columns_, form_of_stream(), columns_.files.front(), lines, all, warnings_);
  pass.run([&jobs] {
    for (SectionJob& job : jobs) job.writer->write_rows();
  });
}

std::vector<std::string> StreamConversion::result() const {
  if (failure_) std::rethrow_exception(failure_);
  return warnings_;
}

}  // namespace wainscot
