// calibrate THREADS: a fixed amount of arithmetic on so many threads; how much a second thread is worth here.
#include <cstdio>
#include <cstdlib>
#include <thread>
#include <vector>

int main(int argc, char** argv) {
    const int threads = argc > 1 ? std::atoi(argv[1]) : 1;
    constexpr long rounds = 1'600'000'000;
    std::vector<double> sums(static_cast<std::size_t>(threads) * 16, 0.0); // a cache line apart
    {
        std::vector<std::jthread> all;
        for (int t = 0; t < threads; ++t)
            all.emplace_back([&, t] {
                double x = 0.5 + t;
                for (long i = 0; i < rounds / threads; ++i)
                    x = x * 0.999999 + 0.000001;
                sums[static_cast<std::size_t>(t) * 16] = x;
            });
    }
    double sum = 0.0;
    for (const double s : sums)
        sum += s;
    std::printf("%f\n", sum);
    return 0;
}
