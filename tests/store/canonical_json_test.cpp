// RFC 8785 (JSON Canonicalization Scheme) and FIPS 180-4 (SHA-256) against their published vectors.
#include <bit>
#include <catch2/catch.hpp>

#include "store/internal/json_text.h"
#include "store/meet_file.h"

namespace plumbmark {
namespace {

std::string canonical(const std::string& text) {
    const base::Result<std::string> result = store::canonical_json(text);
    return result ? *result : "error: " + result.error().text();
}

TEST_CASE("SHA-256 of the published messages is the published digest") {
    // FIPS 180-4 examples (NIST, 'Secure Hash Standard' example values).
    CHECK(store::sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(store::sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(store::sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(store::sha256_hex(std::string(1'000'000, 'a')) ==
          "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("the test files of the canonicalisation scheme come out with the published bytes") {
    // Inputs and outputs of the reference test data (cyberphone/json-canonicalization, revision 19d51d7); the
    // hashes are of the output bytes without a trailing newline.
    const std::string arrays =
        canonical("[\n  56,\n  {\n    \"d\": true,\n    \"10\": null,\n    \"1\": [ ]\n  }\n]\n");
    CHECK(arrays == R"([56,{"1":[],"10":null,"d":true}])");
    CHECK(store::sha256_hex(arrays) == "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42");

    const std::string structures = canonical(R"({
        "1": {"f": {"f": "hi","F": 5} ,"\n": 56},
        "10": { },
        "": "empty",
        "a": { },
        "111": [ {"e": "yes","E": "no" } ],
        "A": { }
    })");
    CHECK(store::sha256_hex(structures) ==
          "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5");

    const std::string values = canonical(
        "{\"numbers\":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],"
        "\"string\":\"\\u20ac$\\u000F\\u000aA'\\u0042\\u0022\\u005c\\\\\\\"\\/\","
        "\"literals\":[null,true,false]}");
    CHECK(values ==
          "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],"
          "\"string\":\"\xE2\x82\xAC$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}");
    CHECK(store::sha256_hex(values) == "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb");

    // RFC 8785 section 3.2.3 gives this order by UTF-16 code units: the smiley (D83D DE00) before U+FB33. The
    // whole file's hash is the published one.
    const std::string weird = canonical(
        "{\"\\u20ac\":\"Euro Sign\",\"\\r\":\"Carriage Return\",\"\\u000a\":\"Newline\",\"1\":\"One\","
        "\"\\u0080\":\"Control\\u007f\",\"\\ud83d\\ude02\":\"Smiley\",\"\\u00f6\":\"Latin Small Letter O "
        "With "
        "Diaeresis\",\"\\ufb33\":\"Hebrew Letter Dalet With Dagesh\",\"</script>\":\"Browser Challenge\"}");
    CHECK(store::sha256_hex(weird) == "6af595a9aa80110b964b4de3f82a05fa6ae7423005019bacfa2620dddc4e94d1");

    // Texts are not normalised: A with a combining ring stays two code points (41 cc 8a).
    const std::string unicode = canonical("{\"Unnormalized Unicode\":\"A\\u030a\"}");
    CHECK(store::sha256_hex(unicode) == "0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3");

    const std::string french = canonical(
        "{\"peach\":\"This sorting order\",\"p\xC3\xA9"
        "ch\xC3\xA9\":\"is wrong according to French\",\"p\xC3\xAA"
        "che\":\"but canonicalization MUST\",\"sin\":\"ignore locale\"}");
    CHECK(store::sha256_hex(french) == "d99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5");
}

TEST_CASE("doubles are printed as ECMAScript prints them") {
    // RFC 8785 appendix B. The rows marked * were read in the reference test data; the others are from memory
    // of the appendix, and each agrees with the shortest digits that Python prints.
    struct Row {
        std::uint64_t bits;
        const char* text;
    };
    const Row rows[] = {
        {0x0000000000000000, "0"},
        {0x8000000000000000, "0"},  // *
        {0x0000000000000001, "5e-324"},
        {0x8000000000000001, "-5e-324"},
        {0x7fefffffffffffff, "1.7976931348623157e+308"},
        {0xffefffffffffffff, "-1.7976931348623157e+308"},
        {0x4340000000000000, "9007199254740992"},
        {0xc340000000000000, "-9007199254740992"},
        {0x4340000000000001, "9007199254740994"},  // *
        {0x4340000000000002, "9007199254740996"},  // *
        {0x4430000000000000, "295147905179352830000"},
        {0x44b52d02c7e14af5, "9.999999999999997e+22"},
        {0x44b52d02c7e14af6, "1e+23"},
        {0x44b52d02c7e14af7, "1.0000000000000001e+23"},
        {0x444b1ae4d6e2ef4e, "999999999999999700000"},
        {0x444b1ae4d6e2ef4f, "999999999999999900000"},
        {0x444b1ae4d6e2ef50, "1e+21"},                 // *
        {0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},  // *
        {0x3eb0c6f7a0b5ed8d, "0.000001"},              // *
        {0x41b3de4355555553, "333333333.3333332"},
        {0x41b3de4355555554, "333333333.33333325"},
        {0x41b3de4355555555, "333333333.3333333"},
        {0x41b3de4355555556, "333333333.3333334"},
        {0x41b3de4355555557, "333333333.33333343"},
        {0xbecbf647612f3696, "-0.0000033333333333333333"},
        {0x43143ff3c1cb0959, "1424953923781206.2"},
    };
    for (const Row& row : rows) {
        CHECK(store::number_text(std::bit_cast<double>(row.bits)) == row.text);
    }
    CHECK(canonical("[9007199254740993, 18446744073709551615, -0, -0.0, 100, 1e2]") ==
          "[9007199254740992,18446744073709552000,0,0,100,100]");
}

TEST_CASE("what is not I-JSON is refused") {
    CHECK(canonical("{\"a\":1,\"a\":2}") ==
          "error: the member 'a' stands twice in one object");  // RFC 7493, 2.3
    CHECK(canonical("[1e400]").find("this number is too large") != std::string::npos);
    CHECK(canonical("[NaN]").find("this is not JSON") != std::string::npos);
    CHECK(canonical("\"\\ud800\"").find("this is not JSON") != std::string::npos);
    CHECK(canonical("[1] x").find("this is not JSON") != std::string::npos);
    CHECK(canonical(std::string(101, '[') + std::string(101, ']')) ==
          "error: objects and arrays are nested deeper than 100");
    CHECK(canonical(std::string(100, '[') + std::string(100, ']')) ==
          std::string(100, '[') + std::string(100, ']'));
}

}  // namespace
}  // namespace plumbmark
