#include "dangerline/command.hpp"
#include "dangerline/memory.hpp"

#include <iostream>

int main(int argc, char** argv) {
    dangerline::take_memory_in_large_pieces();
    return dangerline::command::program({argv + 1, argv + argc}, std::cout, std::cerr);
}
