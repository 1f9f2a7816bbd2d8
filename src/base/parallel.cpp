#include "dangerline/base/parallel.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <limits>
#include <mutex>
#include <thread>
#include <vector>

namespace dangerline {

namespace {

/// The failure of the lowest index, whichever thread met it first.
class FirstFailure {
  public:
    void note(std::size_t index, std::exception_ptr failure) {
        const std::lock_guard lock(mutex_);
        if (index < index_) {
            index_ = index;
            failure_ = std::move(failure);
        }
        any_ = true;
    }
    bool any() const { return any_; }
    void raise() const {
        if (failure_)
            std::rethrow_exception(failure_);
    }

  private:
    std::mutex mutex_;
    std::size_t index_ = std::numeric_limits<std::size_t>::max();
    std::exception_ptr failure_;
    std::atomic<bool> any_ = false;
};

} // namespace

void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work, unsigned threads,
                  std::size_t chunk) {
    const unsigned processors = std::max(1U, std::thread::hardware_concurrency());
    const std::size_t wanted = threads == 0 ? processors : std::min(threads, processors);
    std::atomic<std::size_t> next = 0;
    FirstFailure failure;
    const auto run = [&] {
        while (!failure.any()) {
            const std::size_t from = next.fetch_add(chunk);
            if (from >= count)
                return;
            for (std::size_t i = from; i < std::min(from + chunk, count); ++i)
                try {
                    work(i);
                } catch (...) {
                    failure.note(i, std::current_exception());
                    break;
                }
        }
    };
    {
        std::vector<std::jthread> others;
        for (std::size_t i = 1; i < std::min(wanted, (count + chunk - 1) / chunk); ++i)
            others.emplace_back(run);
        run();
    }
    failure.raise();
}

} // namespace dangerline
