// cellmaker TEXT OUTPUT: makes an S-57 base cell or update out of its description
// (tools/cellwriter/cell_text.hpp).
#include "cellwriter/cell_text.hpp"

#include <fstream>
#include <iostream>

int main(int argc, char** argv) {
    if (argc != 3) {
        std::cerr << "usage: cellmaker TEXT OUTPUT\n";
        return 2;
    }
    try {
        const std::string bytes = cellwriter::cell_from_text(argv[1]);
        std::ofstream out(argv[2], std::ios::binary);
        out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        if (!out.flush()) {
            std::cerr << "cellmaker: can't write " << argv[2] << '\n';
            return 1;
        }
    } catch (const std::exception& error) {
        std::cerr << "cellmaker: " << error.what() << '\n';
        return 1;
    }
    return 0;
}
