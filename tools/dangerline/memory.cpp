#include "dangerline/memory.hpp"

#include <cstdint>
#include <cstdlib> // tells which C library this is

#ifdef __GLIBC__
#include <malloc.h>
#include <sys/mman.h>
#include <unistd.h>
#endif

namespace dangerline {

void take_memory_in_large_pieces() {
#ifdef __GLIBC__
    constexpr int piece = 128 << 20, never_given_back = 1 << 30, largest_in_heap = 32 << 20;
    mallopt(M_TOP_PAD, piece);
    mallopt(M_TRIM_THRESHOLD, never_given_back);
    mallopt(M_MMAP_THRESHOLD, largest_in_heap);
    // The heap grows with the first block that does not fit, and from then on holds the whole piece.
    constexpr std::uintptr_t huge_page = 2 << 20;
    const auto begin = reinterpret_cast<std::uintptr_t>(sbrk(0));
    void* volatile block = std::malloc(huge_page); // volatile, or the compiler leaves both out
    std::free(block);
    const auto end = reinterpret_cast<std::uintptr_t>(sbrk(0));
    const std::uintptr_t first = (begin + huge_page - 1) / huge_page * huge_page;
    if (first < end) // refused it is as it was before
        (void)madvise(reinterpret_cast<void*>(first), end - first, MADV_HUGEPAGE);
#endif
}

} // namespace dangerline
