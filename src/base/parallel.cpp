#include "dangerline/base/parallel.hpp"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <exception>
#include <limits>
#include <mutex>
#include <optional>
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

/// Lets work go on side by side and what it makes be taken in order.
class Queue {
  public:
    explicit Queue(std::size_t count) : count_(count) {}

    std::optional<std::size_t> next() {
        const std::lock_guard lock(mutex_);
        return failure_ || next_ >= count_ ? std::nullopt : std::optional(next_++);
    }

    /// Waits for its turn; `take` may be empty where the work failed.
    void pass(std::size_t index, const std::function<void()>& take, std::exception_ptr failure) {
        std::unique_lock lock(mutex_);
        turn_.wait(lock, [&] { return due_ == index; });
        if (!failure_) {
            failure_ = std::move(failure);
            try {
                if (!failure_ && take)
                    take();
            } catch (...) {
                failure_ = std::current_exception();
            }
        }
        ++due_;
        turn_.notify_all();
    }

    void raise() const {
        if (failure_)
            std::rethrow_exception(failure_);
    }

  private:
    std::mutex mutex_;
    std::condition_variable turn_;
    std::size_t count_, next_ = 0, due_ = 0;
    std::exception_ptr failure_;
};

unsigned threads_of(unsigned wanted) {
    const unsigned processors = std::max(1U, std::thread::hardware_concurrency());
    return wanted == 0 ? processors : std::min(wanted, processors);
}

} // namespace

void parallel_in_order(std::size_t count, const std::function<std::function<void()>(std::size_t)>& make,
                       unsigned threads) {
    Queue queue(count);
    const auto run = [&] {
        while (const auto index = queue.next()) {
            std::function<void()> take;
            std::exception_ptr failure;
            try {
                take = make(*index);
            } catch (...) {
                failure = std::current_exception();
            }
            queue.pass(*index, take, std::move(failure));
        }
    };
    {
        std::vector<std::jthread> others;
        for (std::size_t i = 1; i < std::min<std::size_t>(threads_of(threads), count); ++i)
            others.emplace_back(run);
        run();
    }
    queue.raise();
}

void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work, unsigned threads,
                  std::size_t chunk) {
    const std::size_t wanted = threads_of(threads);
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
