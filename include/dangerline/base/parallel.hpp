// A small parallel loop.
#pragma once

#include <cstddef>
#include <functional>

namespace dangerline {

/// Calls work(i) once for each i in [0, count), on as many threads as the machine has processors (at most
/// `threads` where that is not 0). Chunks are handed out by number, so which thread does what is left open:
/// work must write to its own place i only, and then results do not depend on the number of threads. The
/// exception of the lowest i that threw is thrown again when all threads are done; later chunks may have been
/// left out.
///
/// `chunk`: so many at a time, at least 1; small enough that two threads end together, large enough that
/// handing out costs nothing. 1 where each takes long.
void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work, unsigned threads = 0,
                  std::size_t chunk = 16);

/// Calls make(i) for each i in [0, count) on several threads, as above but one number at a time, and what
/// each returns in ascending order of i, one at a time: work side by side, results one after another, of
/// which never more than one a thread is waiting. A failure of make(i) or of what it returned is thrown when
/// its turn comes and all threads are done; nothing after it is called.
void parallel_in_order(std::size_t count, const std::function<std::function<void()>(std::size_t)>& make,
                       unsigned threads = 0);

} // namespace dangerline
