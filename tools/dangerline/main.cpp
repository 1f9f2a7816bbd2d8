#include "dangerline/command.hpp"

#include <iostream>

int main(int argc, char** argv) {
    return dangerline::command::program({argv + 1, argv + argc}, std::cout, std::cerr);
}
