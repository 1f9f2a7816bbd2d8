// The yardstick: GDAL opens a cell with its updates and hands over every feature with its geometry. No more.
#include "bench/bare_loop.hpp"

#include <cstdio>

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "usage: bare_loop CELL\n");
        return 2;
    }
    std::printf("%zu features\n", bench::bare_loop(argv[1]));
    return 0;
}
