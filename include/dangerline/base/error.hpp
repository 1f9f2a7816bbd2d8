// What the program says when it can't go on.
#pragma once

#include <stdexcept>
#include <string>

namespace dangerline {

/// Whose content is wrong; decides the exit code (data 1, plan and command line 2).
enum class Fault { data, plan, command_line };

/// The parts of one clear message. Empty parts are left out.
struct Complaint {
    std::string file{};     ///< path as the user gave it
    std::string object{};   ///< layer, key with its line, feature with LNAM
    std::string what{};     ///< what is wrong
    std::string expected{}; ///< what was expected instead
    std::string remedy{};   ///< what to try
};

/// "FILE: OBJECT: WHAT (expected EXPECTED). Try: REMEDY"
std::string to_text(const Complaint& complaint);

/// Thrown where a job can't be done; caught by the command line alone.
class Failure : public std::runtime_error {
  public:
    Failure(Fault fault, Complaint complaint);
    Fault fault() const { return fault_; }
    const Complaint& complaint() const { return complaint_; }

  private:
    Fault fault_;
    Complaint complaint_;
};

} // namespace dangerline
