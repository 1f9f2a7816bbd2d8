#include "dangerline/files/gdal_quiet.hpp"

#include <algorithm>
#include <cpl_error.h>
#include <mutex>
#include <ogrsf_frmts.h>

namespace dangerline::files {

namespace {

std::string on_one_line(const char* raw) {
    std::string text = raw ? raw : "";
    std::replace_if(
        text.begin(), text.end(), [](char c) { return c == '\n' || c == '\r' || c == '\t'; }, ' ');
    while (!text.empty() && (text.back() == ' ' || text.back() == '.'))
        text.pop_back();
    return text;
}

void CPL_STDCALL handler(CPLErr level, CPLErrorNum number, const char* text) {
    if (level == CE_None || level == CE_Debug)
        return;
    auto* collector = static_cast<GdalMessages*>(CPLGetErrorHandlerUserData());
    if (!collector)
        return;
    try {
        collector->receive({level >= CE_Failure, number, on_one_line(text)});
    } catch (...) { // an exception must not cross GDAL's frames; only memory can run out here
    }
}

} // namespace

void register_drivers() {
    static std::once_flag once;
    std::call_once(once, [] {
        RegisterOGRS57();
        RegisterOGRGPX();
        RegisterOGRGeoJSON();
    });
}

GdalMessages::GdalMessages() {
    CPLPushErrorHandlerEx(&handler, this);
}

GdalMessages::~GdalMessages() {
    CPLPopErrorHandler();
    CPLErrorReset();
}

bool GdalMessages::failed() const {
    return std::any_of(messages_.begin(), messages_.end(), [](const Message& m) { return m.failure; });
}

std::string GdalMessages::text() const {
    std::string all;
    for (const Message& m : messages_)
        all += (all.empty() ? "" : "; ") + m.text;
    return all;
}

void GdalMessages::move_to(Diagnostics& diagnostics, const std::string& file, const std::string& object) {
    for (Message& m : messages_)
        diagnostics.push_back(
            {m.failure ? Severity::broken : Severity::warning, file, object, std::move(m.text)});
    messages_.clear();
}

void GdalMessages::receive(Message message) {
    const auto same = [&](const Message& m) {
        return m.failure == message.failure && m.text == message.text;
    };
    if (std::none_of(messages_.begin(), messages_.end(), same))
        messages_.push_back(std::move(message));
}

} // namespace dangerline::files
