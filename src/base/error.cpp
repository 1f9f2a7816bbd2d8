#include "dangerline/base/error.hpp"

namespace dangerline {

std::string to_text(const Complaint& c) {
    std::string text = c.file;
    const auto part = [&text](const std::string& lead, const std::string& body,
                              const std::string& tail = "") {
        if (!body.empty())
            text += (text.empty() ? "" : lead) + body + tail;
    };
    part(": ", c.object);
    part(": ", c.what);
    part(" (expected ", c.expected, ")");
    part(". Try: ", c.remedy);
    return text;
}

Failure::Failure(Fault fault, Complaint complaint)
    : std::runtime_error(to_text(complaint)), fault_(fault), complaint_(std::move(complaint)) {}

} // namespace dangerline
