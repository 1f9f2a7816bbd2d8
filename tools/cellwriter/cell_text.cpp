#include "cellwriter/cell_text.hpp"

#include "cellwriter/cellwriter.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <memory>
#include <numbers>
#include <stdexcept>

namespace cellwriter {

namespace {

struct Statement {
    std::string where; // file:line
    std::vector<std::string> words;
};

/// Words of a line; double quotes keep blanks together and are taken away.
std::vector<std::string> split(const std::string& line) {
    std::vector<std::string> words;
    std::string word;
    bool quoted = false, open = false;
    for (const char c : line) {
        if (c == '"') {
            quoted = !quoted;
            open = true;
        } else if (!quoted && c == '#' && !open) {
            break;
        } else if (!quoted && (c == ' ' || c == '\t' || c == '\r')) {
            if (open)
                words.push_back(std::move(word));
            word.clear();
            open = false;
        } else {
            word += c;
            open = true;
        }
    }
    if (open)
        words.push_back(std::move(word));
    return words;
}

std::vector<Statement> read_statements(const std::filesystem::path& path) {
    std::ifstream in(path);
    if (!in)
        throw std::invalid_argument("can't open " + path.string());
    std::vector<Statement> statements;
    std::string line;
    for (int number = 1; std::getline(in, line); ++number) {
        std::vector<std::string> words = split(line);
        if (words.empty())
            continue;
        const bool goes_on = line[0] == ' ' || line[0] == '\t';
        if (goes_on && !statements.empty())
            statements.back().words.insert(statements.back().words.end(), words.begin(), words.end());
        else
            statements.push_back({path.filename().string() + ":" + std::to_string(number), std::move(words)});
    }
    return statements;
}

std::vector<double> numbers_of(const std::string& word) {
    std::vector<double> values;
    std::size_t at = 0;
    while (at < word.size()) {
        std::size_t used = 0;
        values.push_back(std::stod(word.substr(at), &used));
        at += used;
        if (at < word.size() && word[at++] != ',')
            throw std::invalid_argument("\"" + word + "\" is no position");
    }
    return values;
}

/// Metres from the origin to degrees. Length of a degree on WGS 84 as a series in the latitude (a common
/// expansion, from memory); good to some metres in ten miles, which an invented chart can bear.
struct Frame {
    double lat_deg = 0, lon_deg = 0;

    Place place(double east_m, double north_m) const {
        const double phi = lat_deg * std::numbers::pi / 180;
        const double degree_north = 111132.92 - 559.82 * std::cos(2 * phi) + 1.175 * std::cos(4 * phi);
        const double degree_east =
            111412.84 * std::cos(phi) - 93.5 * std::cos(3 * phi) + 0.118 * std::cos(5 * phi);
        return {lon_deg + east_m / degree_east, lat_deg + north_m / degree_north};
    }
};

/// Everything a text has said so far.
class Reader {
  public:
    explicit Reader(const std::filesystem::path& path) { read(path); }

    std::string bytes() const { return update_ ? update_->bytes() : draft_.bytes(); }
    Cell cell() const { return update_ ? update_->after() : draft_.compile(); }

  private:
    CellDraft draft_;
    std::unique_ptr<UpdateDraft> update_;
    Frame frame_;
    std::map<std::string, Ring> chains_;

    using Words = std::vector<std::string>;

    void read(const std::filesystem::path& path) {
        for (const Statement& statement : read_statements(path))
            try {
                take(statement.words, path.parent_path());
            } catch (const std::exception& error) {
                throw std::invalid_argument(statement.where + ": " + error.what());
            }
    }

    void take(const Words& words, const std::filesystem::path& folder) {
        if (words.size() < 2)
            throw std::invalid_argument("\"" + words[0] + "\" stands alone");
        const std::string& verb = words[0];
        if (take_header(words) || take_feature(words) || take_change(words))
            return;
        if (verb == "include")
            read(folder / words[1]);
        else if (verb == "follows")
            follow(Reader(folder / words[1]));
        else if (verb == "origin")
            frame_ = {std::stod(words.at(1)), std::stod(words.at(2))};
        else if (verb == "place" || verb == "chain")
            chains_[words[1]] = chain(Words(words.begin() + 2, words.end()));
        else
            throw std::invalid_argument("\"" + verb + "\" is no statement");
    }

    void follow(const Reader& before) {
        frame_ = before.frame_;
        chains_ = before.chains_;
        update_ = std::make_unique<UpdateDraft>(before.cell());
    }

    bool take_header(const Words& words) {
        Header& h = update_ ? update_->header : draft_.header;
        const std::string& value = words[1];
        const std::map<std::string, int*> whole = {
            {"edition", &h.edition}, {"update", &h.update}, {"usage", &h.intu}, {"agency", &h.agen}};
        const std::map<std::string, std::string*> text = {
            {"cell", &h.dsnm}, {"issued", &h.isdt}, {"applied", &h.uadt}};
        if (const auto it = whole.find(words[0]); it != whole.end()) {
            *it->second = std::stoi(value);
        } else if (const auto found = text.find(words[0]); found != text.end()) {
            *found->second = value;
        } else if (words[0] == "scale") {
            h.cscl = static_cast<std::uint32_t>(std::stoul(value));
        } else if (words[0] == "datums") {
            h.hdat = std::stoi(value);
            h.vdat = std::stoi(words.at(2));
            h.sdat = std::stoi(words.at(3));
        } else if (words[0] == "comment") {
            h.comment = value;
            for (std::size_t i = 2; i < words.size(); ++i)
                h.comment += " " + words[i];
        } else {
            return false;
        }
        return true;
    }

    /// Words behind the colon.
    static Words geometry(const Words& words) {
        const auto colon = std::find(words.begin(), words.end(), ":");
        return colon == words.end() ? Words{} : Words(colon + 1, words.end());
    }

    Ring chain(const Words& words) const {
        Ring ring;
        for (const std::string& word : words) {
            const bool backwards = word[0] == '-' && chains_.contains(word.substr(1));
            const auto it = chains_.find(backwards ? word.substr(1) : word);
            if (it == chains_.end()) {
                const std::vector<double> values = numbers_of(word);
                if (values.size() != 2)
                    throw std::invalid_argument("\"" + word + "\" is no position");
                ring.push_back(frame_.place(values[0], values[1]));
            } else if (backwards) {
                ring.insert(ring.end(), it->second.rbegin(), it->second.rend());
            } else {
                ring.insert(ring.end(), it->second.begin(), it->second.end());
            }
        }
        return ring;
    }

    std::vector<Ring> rings(const Words& words) const {
        std::vector<Ring> all;
        auto begin = words.begin();
        while (begin != words.end()) {
            const auto end = std::find(begin, words.end(), "hole");
            all.push_back(chain(Words(begin, end)));
            begin = end == words.end() ? end : end + 1;
        }
        return all;
    }

    std::vector<Sounding> soundings(const Words& words) const {
        std::vector<Sounding> all;
        for (const std::string& word : words) {
            const std::vector<double> values = numbers_of(word);
            if (values.size() != 3)
                throw std::invalid_argument("\"" + word + "\" is no sounding");
            all.push_back({frame_.place(values[0], values[1]), values[2]});
        }
        return all;
    }

    /// Attributes between the class and the colon; `record` takes the lower-case keys.
    static Attributes attributes(const Words& words, std::size_t from, DraftFeature& record) {
        Attributes all;
        for (std::size_t i = from; i < words.size() && words[i] != ":"; ++i) {
            const std::size_t equals = words[i].find('=');
            if (equals == std::string::npos && words[i][0] == '-') {
                all.push_back({words[i].substr(1), "", true});
                continue;
            }
            if (equals == std::string::npos)
                throw std::invalid_argument("\"" + words[i] + "\" is no attribute");
            const std::string key = words[i].substr(0, equals);
            const std::string value = words[i].substr(equals + 1);
            if (key == "fidn")
                record.fidn = static_cast<std::uint32_t>(std::stoul(value));
            else if (key == "fids")
                record.fids = std::stoi(value);
            else if (key == "quapos")
                record.quality.quapos = std::stoi(value);
            else if (key == "posacc")
                record.quality.posacc = value;
            else
                all.push_back({key, value});
        }
        for (const Attribute& attribute : all)
            attribute_code(attribute.acronym); // unknown ones are said with their line
        return all;
    }

    bool take_feature(const Words& words) {
        CellDraft& draft = update_ ? update_->inserted : draft_;
        const std::string& verb = words[0];
        DraftFeature record;
        if (verb == "soundings") {
            draft.add_soundings(soundings(geometry(words)), attributes(words, 1, record));
        } else if (verb == "point") {
            draft.add_point(words[1], chain(geometry(words)).at(0), attributes(words, 2, record));
        } else if (verb == "line") {
            draft.add_line(words[1], chain(geometry(words)), attributes(words, 2, record));
        } else if (verb == "area") {
            draft.add_area(words[1], rings(geometry(words)), attributes(words, 2, record));
        } else {
            return false;
        }
        DraftFeature& made = draft.features.back();
        class_code(made.object_class);
        made.fidn = record.fidn;
        made.fids = record.fids;
        made.quality = record.quality;
        return true;
    }

    bool take_change(const Words& words) {
        const std::string& verb = words[0];
        if (verb != "change" && verb != "quality" && verb != "move" && verb != "delete")
            return false;
        if (!update_)
            throw std::invalid_argument("only an update can " + verb);
        const auto fidn = static_cast<std::uint32_t>(std::stoul(words[1]));
        DraftFeature record;
        const Attributes all = attributes(words, 2, record);
        if (verb == "change")
            update_->change(fidn, all);
        else if (verb == "quality")
            update_->change_quality(fidn, record.quality);
        else if (verb == "move")
            update_->move(fidn, chain(geometry(words)).at(0));
        else
            update_->remove(fidn);
        return true;
    }
};

} // namespace

std::string cell_from_text(const std::filesystem::path& text) {
    return Reader(text).bytes();
}

} // namespace cellwriter
