// How memory is taken from the system.
#pragma once

namespace dangerline {

/// In few and large pieces, huge pages where the kernel gives them: a cell is hundreds of thousands of small
/// allocations, and the first touch of each page of 4 KiB costs more than what is done there. Changes no
/// result; does nothing where the C library is another.
void take_memory_in_large_pieces();

} // namespace dangerline
