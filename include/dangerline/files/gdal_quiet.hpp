// GDAL without its chatter: its messages are caught per call and become errors or diagnostics.
#pragma once

#include "dangerline/base/diagnostics.hpp"

#include <string>
#include <vector>

namespace dangerline::files {

/// Registers the GDAL drivers this program uses (S57, GPX, GeoJSON) and no others, so that no other driver
/// can claim a file. Safe to call from any thread and any number of times; does its work once.
void register_drivers();

/// Collects every message GDAL emits on this thread while the object lives; nothing is printed. Objects nest:
/// the innermost one gets the message. Must be destroyed on the thread that made it, in reverse order.
/// Debug messages are dropped.
class GdalMessages {
  public:
    struct Message {
        bool failure = false; ///< GDAL counts it as an error, not only as a warning
        int number = 0;       ///< GDAL's error number (CPLE_...)
        std::string text{};   ///< as GDAL worded it, on one line without a full stop
    };

    GdalMessages();
    ~GdalMessages();
    GdalMessages(const GdalMessages&) = delete;
    GdalMessages& operator=(const GdalMessages&) = delete;

    /// In the order they came; a message repeated word for word is kept once.
    const std::vector<Message>& messages() const { return messages_; }
    bool empty() const { return messages_.empty(); }
    /// True where at least one message was an error.
    bool failed() const;
    /// All texts joined by "; "; empty where there is none.
    std::string text() const;
    /// Appends each message to `diagnostics`, errors as `Severity::broken`, others as `Severity::warning`,
    /// and forgets them.
    void move_to(Diagnostics& diagnostics, const std::string& file, const std::string& object = "");
    void clear() { messages_.clear(); }

    /// Called by GDAL's handler; of no use elsewhere.
    void receive(Message message);

  private:
    std::vector<Message> messages_;
};

} // namespace dangerline::files
