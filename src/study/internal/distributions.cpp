#include "study/internal/distributions.h"

#include <boost/math/distributions/beta.hpp>
#include <boost/math/distributions/normal.hpp>

namespace plumbmark::study {
namespace {

namespace policies = boost::math::policies;

// Nothing is thrown, and nothing is reckoned in a wider type where a machine has one, so that every machine
// reckons alike.
using Policy = policies::policy<
    policies::domain_error<policies::ignore_error>, policies::pole_error<policies::ignore_error>,
    policies::overflow_error<policies::ignore_error>, policies::evaluation_error<policies::ignore_error>,
    policies::rounding_error<policies::ignore_error>, policies::promote_double<false>>;
using Normal = boost::math::normal_distribution<double, Policy>;
using Beta = boost::math::beta_distribution<double, Policy>;

}  // namespace

double normal_below(double z) {
    return boost::math::cdf(Normal(0, 1), z);
}

double normal_quantile(double share) {
    return boost::math::quantile(Normal(0, 1), share);
}

double two_sided_z(double confidence) {
    return boost::math::quantile(boost::math::complement(Normal(0, 1), (1 - confidence) / 2));
}

double beta_quantile(double a, double b, double share) {
    return boost::math::quantile(Beta(a, b), share);
}

double beta_quantile_above(double a, double b, double share) {
    return boost::math::quantile(boost::math::complement(Beta(a, b), share));
}

}  // namespace plumbmark::study
