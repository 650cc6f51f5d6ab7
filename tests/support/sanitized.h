// Whether the tests run under the address sanitizer, where a case takes many times as long: memory errors
// show in a few cases as well.
#pragma once

namespace plumbmark::test {

#if defined(__SANITIZE_ADDRESS__)
inline constexpr bool kSanitized = true;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
inline constexpr bool kSanitized = true;
#else
inline constexpr bool kSanitized = false;
#endif
#else
inline constexpr bool kSanitized = false;
#endif

}  // namespace plumbmark::test
