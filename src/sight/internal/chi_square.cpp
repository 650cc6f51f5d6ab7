#include "sight/internal/chi_square.h"

#include <boost/math/distributions/chi_squared.hpp>

namespace plumbmark::sight {

double chi_square_quantile(double probability, int degrees) {
    return boost::math::quantile(boost::math::chi_squared(degrees), probability);
}

}  // namespace plumbmark::sight
