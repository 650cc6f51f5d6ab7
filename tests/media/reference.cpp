#include "media/reference.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <stdexcept>

#include "support/run_program.h"
#include "support/test_places.h"

namespace plumbmark::media::test {

namespace fs = std::filesystem;

namespace {

void require(bool condition, const std::string& otherwise) {
    if (!condition) throw std::runtime_error(otherwise);
}

}  // namespace

std::string output_of(const std::string& command) {
    return plumbmark::test::run_line(command).words;
}

std::string quoted(const fs::path& path) {
    std::string text = "'";
    for (const char c : path.string())
        text += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return text + "'";
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);) {
        if (!line.empty() && line.back() == '\r') line.pop_back();
        if (!line.empty()) lines.push_back(line);
    }
    return lines;
}

namespace {

// 'Do not scale pictures of another size': newer ffmpeg programs know only the -no form, older ones only the
// other.
const std::string& no_scaling() {
    static const std::string option =
        std::system(
            "ffmpeg -v quiet -nostdin -f lavfi -i color=s=16x16:d=0.1 -noautoscale -f null - "
            ">/dev/null 2>&1") == 0
            ? " -noautoscale"
            : " -autoscale 0";
    return option;
}

}  // namespace

// On one thread: of many thousand runs on several, one told another sum for one picture of an open group.
std::vector<std::string> framemd5(const fs::path& clip, const std::string& input_options, int stream) {
    const std::string text =
        output_of("ffmpeg -v quiet -nostdin -threads 1 " + input_options + " -noautorotate -i " +
                  quoted(clip) + " -map 0:v:" + std::to_string(stream) + " -fps_mode passthrough" +
                  no_scaling() + " -f framemd5 - 2>/dev/null");
    std::vector<std::string> sums;
    for (const std::string& line : lines_of(text)) {
        if (line.front() == '#') continue;
        sums.push_back(line.substr(line.find_last_of(' ') + 1));
    }
    require(!sums.empty(), "the ffmpeg program shows no frame of " + clip.string());
    return sums;
}

std::set<std::int64_t> cut_times(const fs::path& clip, int stream) {
    const std::string text =
        output_of("ffprobe -v quiet -select_streams v:" + std::to_string(stream) +
                  " -show_entries packet=pts,flags -of json " + quoted(clip) + " 2>/dev/null");
    std::set<std::int64_t> cut;
    const auto answer = nlohmann::json::parse(text);
    const auto packets = answer.value("packets", nlohmann::json::array());
    for (const auto& packet : packets) {
        if (packet.at("flags").get<std::string>().find('D') != std::string::npos)
            cut.insert(packet.at("pts").get<std::int64_t>());
    }
    return cut;
}

std::vector<ProbedFrame> probed_frames(const fs::path& clip, int stream) {
    const std::string text =
        output_of("ffprobe -v quiet -select_streams v:" + std::to_string(stream) +
                  " -show_entries frame=pts,best_effort_timestamp -of json " + quoted(clip) + " 2>/dev/null");
    std::vector<ProbedFrame> frames;
    const auto json = nlohmann::json::parse(text);
    const auto number = [](const nlohmann::json& frame, const char* key) {
        return frame.contains(key) ? std::optional(frame[key].get<std::int64_t>()) : std::nullopt;
    };
    for (const auto& frame : json.value("frames", nlohmann::json::array())) {
        frames.push_back({number(frame, "pts"), number(frame, "best_effort_timestamp")});
    }
    return frames;
}

fs::path scratch() {
    const fs::path folder = plumbmark::test::build_folder() / "media-clips";
    fs::create_directories(folder);
    return folder;
}

namespace {

// Held while a clip is made, so that no test program meets half a clip or one that changes under its reading.
class TurnOf {
  public:
    explicit TurnOf(const fs::path& file) : file_(::open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644)) {
        require(file_ >= 0 && ::flock(file_, LOCK_EX) == 0, "no turn at " + file.string());
    }
    ~TurnOf() { ::close(file_); }
    TurnOf(const TurnOf&) = delete;
    TurnOf& operator=(const TurnOf&) = delete;

  private:
    int file_;
};

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

fs::path made_clip(const std::string& name, const std::string& arguments) {
    static std::set<std::string> made;
    static const std::string version = lines_of(output_of("ffmpeg -version")).front();
    const fs::path path = scratch() / name;
    if (made.contains(name)) return path;
    // What an earlier test program made in the same way is used again.
    const fs::path how = scratch() / (name + ".how");
    const TurnOf turn(scratch() / (name + ".turn"));
    const std::string recipe = arguments + "\n" + version + "\n";
    if (!fs::exists(path) || text_of(how) != recipe) {
        const fs::path part = scratch() / (std::to_string(getpid()) + "-" + name);
        const std::string words =
            output_of("ffmpeg -v error -nostdin -y " + arguments + " " + quoted(part) + " 2>&1");
        require(fs::exists(part), "the ffmpeg program made no " + name + ": " + words);
        fs::remove(how);
        fs::rename(part, path);
        std::ofstream(how, std::ios::binary) << recipe;
    }
    made.insert(name);
    return path;
}

std::optional<fs::path> shared_clip(const std::string& name) {
    const fs::path path = plumbmark::test::shared_folder() / "clips" / name;
    if (fs::exists(path)) return path;
    std::cout << "skipped: the shared clip " << name << " is not there\n";
    return std::nullopt;
}

std::vector<fs::path> clips_in(const fs::path& folder) {
    static const std::set<std::string> endings = {".mp4", ".mov", ".mkv", ".webm", ".ts",   ".ps",   ".avi",
                                                  ".AVI", ".flv", ".ivf", ".264",  ".h264", ".h265", ".jsv"};
    std::vector<fs::path> found;
    for (const auto& entry : fs::directory_iterator(folder)) {
        const bool is_clip = endings.contains(entry.path().extension().string());
        // One file there is recorded text in spite of its ending.
        if (is_clip && !entry.path().filename().string().starts_with("ffprobe-"))
            found.push_back(entry.path());
    }
    std::sort(found.begin(), found.end());
    return found;
}

std::vector<fs::path> shared_clips(const std::string& folder) {
    const fs::path path = plumbmark::test::shared_folder() / "clips" / folder;
    if (fs::is_directory(path)) return clips_in(path);
    std::cout << "skipped: the shared folder " << folder << " is not there\n";
    return {};
}

std::string read_file(const fs::path& path) {
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

void write_file(const fs::path& path, const std::string& bytes) {
    std::ofstream stream(path, std::ios::binary | std::ios::trunc);
    stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    require(stream.good(), "cannot write " + path.string());
}

}  // namespace plumbmark::media::test
